"""What is left of an emergency when one of several reports of it is taken back is no news."""

from sqlalchemy import Connection

from scheduler.journal import history, reports
from scheduler.journal.reports import Written
from scheduler.service.emergencies import MIDDAY, Call, is_no_worse, step_of
from scheduler.service.nights import Almanac


def is_known(almanac: Almanac, connection: Connection, call: Call, people: tuple[str, ...]) -> bool:
    """Whether one of the people was told as much by a report that stood when this one was made.

    That report was taken back since; while it stood this one had nothing to add.
    """
    if call.step == MIDDAY:
        return False
    site_id = almanac.household.profile.site.id
    return any(
        _said_as_much(almanac, call, one) and _was_told(almanac, connection, one, people)
        for one in reports.written(connection, site_id)
    )


def _said_as_much(almanac: Almanac, call: Call, one: Written) -> bool:
    was, made_at = one.report, one.report.made_at
    if made_at is None or one.undone_at is None or not made_at <= call.at < one.undone_at:
        return False
    units = almanac.household.profile.units
    return all(
        report.kind == was.kind and is_no_worse(report, was, units) for report in call.reports
    ) and all(walk.day in was.spell for walk, _ in call.lines)


def _was_told(
    almanac: Almanac, connection: Connection, one: Written, people: tuple[str, ...]
) -> bool:
    made_at = one.report.made_at
    assert made_at  # noqa: S101 - asked of those alone that have it
    step, day = step_of(one.report.kind, made_at), almanac.household.today(made_at)
    told = history.told_since(connection, almanac.household.profile.site.id, day)
    return any(
        has_gone and key.day == day and key.step == step and key.person_id in people
        for key, has_gone in told
    )
