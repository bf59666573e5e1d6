"""What a job of the diary is called, also when the profile has it no more."""

from collections.abc import Iterable, Mapping

from scheduler.cares.catalogue import Care, Catalogue, in_force
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.due_tasks import subject_of
from scheduler.profile.by_name import from_id
from scheduler.profile.values import Profile
from scheduler.wording.cares.of_house import JobOfHouses, NeverDue
from scheduler.wording.words import Words

FEED_OPENED = "feed-opened"  # a bag of feed: kept as a job that is done, and never due
_NEVER_DUE: Mapping[str, Words] = {FEED_OPENED: NeverDue.feed_opened}


def cares_by_id(profile: Profile, catalogue: Catalogue) -> dict[str, Care]:
    """Every job of the catalogue and of the profile by its id, as the profile has it."""
    return {care.id: care for care in (*catalogue, *in_force(profile, catalogue))}


def names_of_jobs(profile: Profile, cares: Iterable[Care]) -> dict[tuple[str, str], str]:
    """What each job is called, by "cares" and its id, as a difference of the profile names it."""
    return {("cares", care.id): spoken(care.title, profile) for care in cares}


def title_of(profile: Profile, cares: Mapping[str, Care], key: TaskKey) -> str:
    """What the job is called, with its flock, or its house where there are several or it is gone.

    What is not known any more is called by its id.
    """
    care, called = cares.get(key.care_id), from_id(key.subject_id)
    flocks = {flock.id: flock.name for flock in profile.flock}
    if care and subject_of(care) == "flock":
        return spoken(care.title, profile, flocks.get(key.subject_id, called))
    if care:
        title = spoken(care.title, profile)
    elif key.care_id in _NEVER_DUE:
        title = _NEVER_DUE[key.care_id]()
    else:
        title = key.care_id.replace("-", " ").capitalize()
    if key.subject_id == profile.site.id or (care and subject_of(care) == "site"):
        return title
    houses = profile.house_names
    is_the_only_one = key.subject_id in houses and len(houses) == 1
    where = "" if is_the_only_one else (flocks | houses).get(key.subject_id, called)
    return JobOfHouses.job(job=title, houses=where) if where else title
