"""What is wrong between the tables of a profile: ids said twice, homeless flocks, unknown jobs.

It works on the raw tables, so that it can be said together with everything else that is wrong.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from scheduler.profile.prepare import NAMED_TABLES, id_of, slug
from scheduler.profile.problem import Problem, nearest, shown
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.wording.profile.table_keys import OwnIds, WrongTables
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import every

_OWN_IDS = every(OwnIds)


def disagreements(raw: Mapping[str, Any], known_cares: Sequence[str]) -> Iterator[Problem]:
    """Each problem that only shows when two tables are seen together."""
    for table in NAMED_TABLES:
        yield from _repeated_ids(raw, table)
    for table in ("coop", "flock"):
        if raw.get(table) == []:
            one = WrongTables.one_table(table=f"[[{table}]]")
            yield Problem(key=(table,), found=WrongTables.none(), accepted=one)
    yield from _homeless(raw)
    yield from _ownerless(raw)
    yield from _nobodys_days(raw)
    yield from _unknown_cares(raw, known_cares)


def _tables(raw: Mapping[str, Any], name: str) -> list[tuple[int, Mapping[str, Any]]]:
    tables = raw.get(name)
    if not isinstance(tables, list):
        return []
    return [(index, table) for index, table in enumerate(tables) if isinstance(table, Mapping)]


def _repeated_ids(raw: Mapping[str, Any], name: str) -> Iterator[Problem]:
    seen: set[str] = set()
    for index, table in _tables(raw, name):
        spelled = table.get("id")
        if not isinstance(spelled, str):
            continue
        if spelled in seen:
            accepted = _OWN_IDS[name]()
            called, by_place, hint = str(table.get("name", "")), f"{name}-{index + 1}", ""
            if not slug(called) and spelled == id_of(name, called):
                hint = WrongTables.once_by_place(id=by_place)
            key = (name, index, "id")
            yield Problem(key=key, found=shown(spelled), accepted=accepted, hint=hint)
        seen.add(spelled)


def _homeless(raw: Mapping[str, Any]) -> Iterator[Problem]:
    coops = {str(table.get("id")): index for index, table in _tables(raw, "coop")}
    lived_in = {str(table.get("coop")) for _, table in _tables(raw, "flock")}
    known = list(coops)
    if not known:
        return
    for kind in ("flock", "sensor"):
        for index, table in _tables(raw, kind):
            coop = table.get("coop")
            if isinstance(coop, str) and coop not in coops:
                yield Problem(
                    key=(kind, index, "coop"),
                    found=shown(coop),
                    accepted=in_a_row([f'"{name}"' for name in known]),
                    hint=nearest(coop, known),
                )
    for coop in known:
        if coop not in lived_in:
            found, accepted = WrongTables.no_flock(coop=shown(coop)), WrongTables.one_flock()
            hint = WrongTables.moved()
            yield Problem(key=("coop", coops[coop]), found=found, accepted=accepted, hint=hint)


def _ownerless(raw: Mapping[str, Any]) -> Iterator[Problem]:
    """Nobody who may change everything; a role that is spelled wrong is told by itself."""
    roles = [_role(person) for _, person in _tables(raw, "person")]
    if roles and set(roles) <= {"member", "sitter"}:
        yield Problem(
            key=("person", 0, "role"),
            found=shown(roles[0]),
            accepted=WrongTables.one_owner(),
            hint=WrongTables.without_a_role(),
        )


def _role(person: Mapping[str, Any]) -> str:
    return " ".join(str(person.get("role", "owner")).casefold().split())


def _nobodys_days(raw: Mapping[str, Any]) -> Iterator[Problem]:
    """A weekday of somebody who is not in the profile, or whose name several people have."""
    duty = raw.get("duty")
    if not isinstance(duty, Mapping):
        return
    people = [person for _, person in _tables(raw, "person")]
    ids = [str(person.get("id")) for person in people]
    names = [name for person in people if isinstance(name := person.get("name"), str)]
    for day, who in duty.items():
        if day not in WEEKDAYS or not isinstance(who, str) or who in ids:
            continue
        folded = [name.casefold() for name in names]
        hint = nearest(who, [*ids, *names]) or WrongTables.has_left()
        accepted = in_a_row([shown(name) for name in names]) or WrongTables.nobody_yet()
        if folded.count(who.casefold()) > 1:
            hint = WrongTables.several_called(name=shown(who))
            accepted = in_a_row([shown(one) for one in ids])
        yield Problem(key=("duty", day), found=shown(who), accepted=accepted, hint=hint)


def _unknown_cares(raw: Mapping[str, Any], known: Sequence[str]) -> Iterator[Problem]:
    changes = raw.get("cares")
    if not isinstance(changes, Mapping):
        return
    for care in changes:
        if care not in known:
            yield Problem(
                key=("cares", care),
                found=WrongTables.unknown_job(job=shown(care)),
                accepted=in_a_row(known),
                hint=nearest(care, known),
            )
