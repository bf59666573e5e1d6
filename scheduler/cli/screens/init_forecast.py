"""What `init` asks about the forecast: nothing is sent anywhere without a yes."""

from collections.abc import Callable
from dataclasses import replace
from typing import get_args

from scheduler.profile.forecast import SourceName, in_reach_of_nws, usual_source
from scheduler.profile.hints import hint_for_value
from scheduler.profile.problem import Unreadable, nearest
from scheduler.profile.starter import Answers
from scheduler.wording.cli.init import InitAsks, InitForecast
from scheduler.wording.sources.question import ForecastQuestion, ForecastServices
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import by_code

_SERVICES: tuple[SourceName, ...] = get_args(SourceName)
Asked = tuple[str, str, Callable[[str], Answers], Callable[[Answers], str]]


def forecast_asked(answers: Answers) -> Asked:
    """The question, its usual answer, how one is read, and what is odd about it."""
    service = _usual(answers)
    question = ForecastQuestion.asked(service=by_code(ForecastServices, service)())
    usual = InitForecast.no()
    return InitAsks.forecast(question=question), usual, lambda text: _read(text, answers), _odd


def _usual(answers: Answers) -> SourceName:
    return usual_source(answers.region, answers.latitude_deg, answers.longitude_deg)


def _read(text: str, answers: Answers) -> Answers:
    """The answers with the services that were agreed to, by a yes or by name.

    Raises:
        Unreadable: it is neither, nor a no.
    """
    said = " ".join(text.split()).casefold()
    yes, no = InitForecast.yes(), InitForecast.no()
    agreed: dict[str, tuple[SourceName, ...]] = {one: (one,) for one in _SERVICES}
    agreed |= dict.fromkeys((no, no[:1]), ()) | dict.fromkeys((yes, yes[:1]), (_usual(answers),))
    by_fold = {one.casefold(): sources for one, sources in agreed.items()}
    if said in by_fold:
        return replace(answers, sources=by_fold[said])
    accepted = (yes, no, *_SERVICES)
    hint = hint_for_value(("forecast", "sources"), said) or nearest(said, accepted)
    raise Unreadable(in_a_row(accepted), hint)


def _odd(answers: Answers) -> str:
    sources = answers.sources or ()
    if "us-nws" in sources and not in_reach_of_nws(answers.latitude_deg, answers.longitude_deg):
        return InitForecast.far_from_the_us()
    return InitForecast.not_for_business() if "open-meteo" in sources else ""
