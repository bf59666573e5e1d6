"""Whether a changed profile calls something by another id that may only have another name."""

from collections.abc import Iterator, Sequence
from typing import Protocol

from scheduler.profile.prepare import id_of
from scheduler.profile.values import Person, Profile
from scheduler.service.open_profile import Household


class _Named(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...


# What is kept under an id, and so ends where it changes.
_ENDS = {
    "site": "its diary, its reports, every calendar address and every sign-in",
    "coop": "its diary and the address of its own calendar",
    "flock": "its jobs done",
    "person": "the addresses, links and sign-ins of that name",
    "care": "when it was last done",
}


def renames(before: Profile, after: Profile) -> Iterator[str]:
    """A sentence or two for each that went where one came whose id is made from its name.

    Where more went than came, or fewer, nobody can tell which became which.
    """
    if before.site.id != after.site.id:
        yield _asked("site", before.site, after.site)
        return
    kinds: tuple[tuple[str, Sequence[_Named], Sequence[_Named]], ...] = (
        ("coop", before.coop, after.coop),
        ("flock", before.flock, after.flock),
        ("person", before.person, after.person),
        ("care", before.care, after.care),
    )
    for kind, old, new in kinds:
        gone = [one for one in old if one.id not in {each.id for each in new}]
        come = [one for one in new if one.id not in {each.id for each in old}]
        come = [one for one in come if one.id == id_of(kind, one.name)]
        if len(gone) == len(come):
            for was, now in zip(gone, come, strict=True):
                if not _is_somebody_else(was, now):
                    yield _asked(kind, was, now)


def _is_somebody_else(was: _Named, now: _Named) -> bool:
    """Whether they are people who are told in no common way."""
    if not (isinstance(was, Person) and isinstance(now, Person)):
        return False
    before, after = {was.push, was.mail}, {now.push, now.mail}
    return not (before & after - {None}) and before | after != {None}


def what_may_be_renamed(before: Household | None, after: Household) -> tuple[str, ...]:
    """As `renames`; nothing where no profile was in force before."""
    return tuple(renames(before.profile, after.profile)) if before else ()


def _asked(kind: str, was: _Named, now: _Named) -> str:
    table = "[site]" if kind == "site" else f"[[{kind}]]"
    return (
        f"{was.name} is gone and {now.name} is new, so {_ENDS[kind]} end with {was.name}. If only "
        f'the name has changed, write id = "{was.id}" beside it in {table}.'
    )
