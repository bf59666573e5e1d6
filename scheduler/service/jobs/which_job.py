"""Which job a keeper means, by its id, the words of its title, or a usual word for it."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from scheduler.cares.catalogue import Care, in_force
from scheduler.cares.catalogue_text import CareText
from scheduler.cares.catalogue_words import spoken
from scheduler.profile.prepare import slug
from scheduler.profile.problem import nearest
from scheduler.profile.words import words
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.usual_words import WORDS_FOR_JOBS, WORDS_FOR_TIMES, DayTime
from scheduler.wording.service.why_job import JobMeant
from scheduler.wording.spoken import one_by_one

_MOST_OFFERED = 4


@dataclass(frozen=True, slots=True)
class NoSuchJob:
    """It is no job, or several; `hint` names those that come near, if any."""

    hint: str


def find_job(household: Household, said: str) -> Care | DayTime | NoSuchJob:
    """The job that is meant, as the plan has it, or, where it is switched off, the catalogue.

    Of several that fit equally well, the only one that is in the plan.
    """
    own = {care.id: care for care in in_force(household.profile, household.catalogue)}
    known = {care.id: care for care in household.catalogue} | own
    wanted = slug(said)
    exact = _exact(wanted, known) or next((c for c in own.values() if str(c.title) == said), None)
    if exact or not wanted:  # no letter of it is Latin: a job of one's own by its very name
        return exact or NoSuchJob("")
    said_words = set(_stems(wanted))
    for texts in _texts(household, known.values()):
        fitting = [job_id for job_id, text in texts.items() if said_words <= set(_stems(text))]
        chosen = [job_id for job_id in fitting if job_id in own] or fitting
        if len(chosen) == 1:
            return known[chosen[0]]
        if fitting:
            offered = [_offered(known[each], household) for each in fitting[:_MOST_OFFERED]]
            return NoSuchJob(JobMeant.did_you_mean(jobs=one_by_one(offered)))
    usual = " ".join(WORDS_FOR_JOBS.values()).split()
    return NoSuchJob(nearest(wanted, [*WORDS_FOR_TIMES, *usual, *known]))


def _exact(wanted: str, known: Mapping[str, Care]) -> Care | DayTime | None:
    if wanted in known:
        return known[wanted]
    times: dict[str, DayTime] = {
        word: at for at, names in WORDS_FOR_TIMES.items() for word in names.split()
    }
    if wanted in times:
        return times[wanted]
    usual = {word: job for job, names in WORDS_FOR_JOBS.items() for word in names.split()}
    return known.get(usual.get(wanted, ""))


def job_names(household: Household) -> tuple[str, ...]:
    """Every id that can be asked for, the times of the day first."""
    own = [care.id for care in in_force(household.profile, household.catalogue)]
    return tuple(
        dict.fromkeys([*WORDS_FOR_TIMES, *own, *(care.id for care in household.catalogue)])
    )


def _texts(household: Household, cares: Iterable[Care]) -> Iterator[dict[str, str]]:
    """What to look for the words in, from the surest to the vaguest."""
    known = list(cares)
    region = words(household.profile.site.region)
    plain = {key: f"{key} {value}" for key, value in region.items()}

    def both(*texts: CareText) -> str:
        return " ".join(text.said(plain, household.profile.units) for text in texts)

    yield {care.id: care.id for care in known}
    yield {care.id: both(care.title, care.short) for care in known}
    yield {care.id: both(care.why) for care in known}


def _stems(text: str) -> Iterator[str]:
    """The words without what a plural or a gerund adds."""
    for word in re.findall(r"[a-z0-9]+", text.casefold()):
        stem = re.sub(r"(?:ing|ies|es|s|ed)$", "", word)
        yield stem if len(stem) > 2 else word  # noqa: PLR2004 - "is" is no plural


def _offered(care: Care, household: Household) -> str:
    return JobMeant.job(id=care.id, title=spoken(care.title, household.profile))
