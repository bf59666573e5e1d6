"""The weather: the nights and days ahead, what was measured, and whether a forecast is used."""

from functools import partial

from scheduler.cares import reasons
from scheduler.cares.climate_told import map_off
from scheduler.climate.curve import averages
from scheduler.profile.change import Set, changed
from scheduler.service.household.keep_profile import Kept
from scheduler.service.measured import last_of_each, line_of
from scheduler.service.weather import outlook
from scheduler.service.weather.agreed import attributions, is_asked, question, sources_of
from scheduler.service.weather.last_forecast import why_no_forecast
from scheduler.web.request_and_answer import Answer, Visit, go


def show(visit: Visit) -> Answer:
    """The page."""
    yearly, known, now = averages(visit.profile), visit.standing.records, visit.now
    shown = last_of_each(visit.journal, visit.profile, now)
    facts = {
        "night_and_day": outlook.night_and_day(
            visit.profile, outlook.coming(visit.profile, known, now)
        ),
        "measured": [line_of(visit.profile, *one, now) for one in shown],
        "no_forecast": why_no_forecast(visit.profile, known, now),
        "usual": reasons.usual_air(yearly, visit.today, visit.profile.units),
        "climate": yearly.source,
        "off": map_off(averages(visit.profile), visit.profile.units),
        "question_asked": question(visit.profile),
        "base": mark_of_text(visit) if is_asked(visit.profile) else "",
        "attributions": attributions(visit.profile),
    }
    return Answer(template="weather.html", facts=facts)


def mark_of_text(visit: Visit) -> str:
    """What a form names the profile's text by; empty where no page can change it."""
    editable = visit.kept_profile.editable(visit.now)
    return "" if editable.read_only else editable.mark


def forecast_answered(visit: Visit) -> Answer:
    """Keeps the answer, and shows it where it can be changed and taken back."""
    sources = sources_of(visit.profile, yes=visit.said("answer") == "yes")
    answer = partial(changed, changes=[Set(("forecast", "sources"), [*sources])])
    found = visit.kept_profile.keep(visit.speaker, visit.said("base"), answer)
    if isinstance(found, Kept):
        return go(f"/change/weather?kept={found.number}")
    return go("/change/weather")  # there it is said what is in the way
