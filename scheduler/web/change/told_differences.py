"""Differences of a profile in lines for people, with what stood for a value that was left open."""

from collections.abc import Iterable
from dataclasses import replace

from scheduler.cares.job_title import names_of_jobs
from scheduler.profile.changeable import changeable_at
from scheduler.profile.difference import Difference
from scheduler.profile.difference_words import Telling, names_in, said
from scheduler.profile.typed_value import NO, YES
from scheduler.service.household.open_profile import Household
from scheduler.web.change.inputs import default_of

_AS_WRITTEN = {YES: "true", NO: "false"}


def told(differences: Iterable[Difference], household: Household, *texts: str) -> list[str]:
    """A line for each, with the names that the first of the texts has."""
    profile = household.profile
    jobs = names_of_jobs(profile, household.catalogue)
    names = {**jobs, **names_in(*texts, household.text)}
    to = Telling(names=names, units=profile.units, region=profile.site.region)
    return [said(_with_what_was(one), to) for one in differences]


def _with_what_was(difference: Difference) -> Difference:
    one = changeable_at(difference.where)
    usual = default_of(one.of) if one else ""
    as_written = _AS_WRITTEN.get(usual, usual)
    return replace(
        difference,
        before=difference.before or as_written,
        after=difference.after or as_written,
    )
