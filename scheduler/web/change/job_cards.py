"""The jobs that there are, as a list by the time of the day, and the card of one of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduler.cares.catalogue import Care, in_force
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.due_words import due_words
from scheduler.cares.triggers import Every, OwnHouse, Recorded, YearlyCleaning
from scheduler.profile.own_cares import RoundName
from scheduler.service.household.open_profile import Household
from scheduler.web.change.cards import Card, Tables
from scheduler.wording.web.change import JobLines, RoundTitles
from scheduler.wording.words import by_code

_ROUNDS: tuple[RoundName, ...] = ("morning", "midday", "evening")
_KEYS = ("on", "every", "minutes", "round", "text")


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """A job in a list, and where it is changed."""

    title: str
    text: str
    address: str


def by_round(household: Household) -> Sequence[tuple[str, Sequence[JobLine]]]:
    """Every job by the time of the day, then those that are switched off."""
    own = in_force(household.profile, household.catalogue)
    on = {care.id for care in own}
    found = [
        (by_code(RoundTitles, name)(), [_line(household, one) for one in own if one.round == name])
        for name in _ROUNDS
    ]
    off = [_off(household, one) for one in household.catalogue if one.id not in on]
    return [(title, jobs) for title, jobs in (*found, (RoundTitles.off(), off)) if jobs]


def address_of(household: Household, job: str) -> str:
    """Where that job is changed; one of the keeper's own has its card on the page of all."""
    is_own = job in {one.id for one in household.profile.care}
    return f"/change/jobs?open=care/{job}#card-care/{job}" if is_own else f"/change/jobs/{job}"


def often(household: Household, job: str) -> str:
    """How often it comes, as a page says it."""
    cares = (*in_force(household.profile, household.catalogue), *household.catalogue)
    care = next(one for one in cares if one.id == job)
    if isinstance(care.due, Recorded):
        return JobLines.reported()
    return due_words(care, household.profile.units)


def card_of(household: Household, tables: Tables, job: str) -> Card | None:
    """The card of a job of the catalogue; None where there is none of that id."""
    care = next((one for one in household.catalogue if one.id == job), None)
    if care is None:
        return None
    is_counted = isinstance(care.due, Every | OwnHouse | YearlyCleaning)
    changes = tables.get("cares")
    return Card(
        where=("cares", job),
        title=spoken(care.title, household.profile),
        keys=tuple(key for key in _KEYS if key != "every" or is_counted),
        can_end=isinstance(changes, Mapping) and job in changes,
        is_open=True,
    )


def _line(household: Household, care: Care) -> JobLine:
    profile = household.profile
    return JobLine(
        title=spoken(care.title, profile),
        text=often(household, care.id),
        address=address_of(household, care.id),
    )


def _off(household: Household, care: Care) -> JobLine:
    return JobLine(
        title=spoken(care.title, household.profile),
        text=JobLines.off(),
        address=address_of(household, care.id),
    )
