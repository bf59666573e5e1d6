"""Whether a changed profile calls something by another id that may only have another name."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence

from scheduler.profile.by_name import Named, Thing
from scheduler.profile.person import Person
from scheduler.profile.prepare import id_of, slug
from scheduler.profile.values import Profile
from scheduler.service.household.open_profile import Household
from scheduler.wording.service.household import Renamed, SiteRenamed
from scheduler.wording.words import every

_RENAMED = every(Renamed)


def renames(before: Profile, after: Profile) -> Iterator[str]:
    """A sentence or two for each that went where one came whose id is made from its name.

    Where more went than came, or fewer, nobody can tell which became which.
    """
    if before.site.id != after.site.id:
        yield _asked("site", before.site, after.site)
        return
    kinds: tuple[tuple[str, Sequence[Named], Sequence[Named]], ...] = (
        ("coop", before.coop, after.coop),
        ("flock", before.flock, after.flock),
        ("care", before.care, after.care),
    )
    for kind, old, new in kinds:
        gone, come = _gone_and_come(kind, old, new)
        if len(gone) == len(come):
            for was, now in zip(gone, come, strict=True):
                yield _asked(kind, was, now)
    for person, called in people_renamed(before, after):
        yield _asked("person", person, called)


def _gone_and_come(
    kind: str, old: Sequence[Thing], new: Sequence[Thing]
) -> tuple[list[Thing], list[Thing]]:
    """What is not there any more, and what is new by an id that its name makes."""
    were, are = {one.id for one in old}, {one.id for one in new}
    come = [one for one in new if one.id not in were and one.id == id_of(kind, one.name)]
    return [one for one in old if one.id not in are], come


def people_renamed(before: Profile, after: Profile) -> Iterator[tuple[Person, Person]]:
    """Whoever went where somebody came who is told in the same way, or neither is in any."""
    if before.site.id != after.site.id:
        return
    gone, come = _gone_and_come("person", before.person, after.person)
    for was in list(gone):
        if known := next((one for one in come if _ways(was) & _ways(one)), None):
            gone.remove(was)
            come.remove(known)
            yield was, known
    if len(gone) == len(come):
        yield from (pair for pair in zip(gone, come, strict=True) if not any(map(_ways, pair)))


def _ways(person: Person) -> set[str]:
    return {way for way in (person.push, person.mail) if way}


def what_may_be_renamed(before: Household | None, after: Household) -> tuple[str, ...]:
    """As `renames`, knowing which ids are written; nothing where none was in force before."""
    if before and may_be_the_same_site(before, after):
        was, now = before.profile.site, after.profile.site
        return (SiteRenamed.asked(was=was.name, now=now.name, id=was.id),)
    return tuple(renames(before.profile, after.profile)) if before else ()


def still_asked(asked: Mapping[str, str], household: Household) -> Iterator[str]:
    """A sentence or two for each of whom the question is open; `asked` is who came for whom."""
    for person in household.profile.person:
        for was in (was for was, came in asked.items() if came == person.id):
            yield SiteRenamed.person(was=was, now=person.name)


def may_be_another_site(before: Household | None, after: Household) -> Iterator[str]:
    """A note where a site has a new name and the id of the old one, as no id is written.

    Every site whose name has no Latin letters is called alike.
    """
    site = after.profile.site
    if before is None or has_a_written_site_id(after) or slug(site.name):
        return
    was = before.profile.site
    if was.id == site.id and was.name != site.name:
        yield SiteRenamed.same_id(was=was.name, now=site.name, id=site.id)


def may_be_the_same_site(before: Household, after: Household) -> bool:
    """Whether the site has another id only because its name is another and no id is written."""
    return before.profile.site.id != after.profile.site.id and not has_a_written_site_id(after)


def has_a_written_site_id(household: Household) -> bool:
    """Whether its profile gives the site an id, so that none is made from its name."""
    return "id" in tomllib.loads(household.text).get("site", {})


def _asked(kind: str, was: Named, now: Named) -> str:
    return _RENAMED[kind](was=was.name, now=now.name, id=was.id)
