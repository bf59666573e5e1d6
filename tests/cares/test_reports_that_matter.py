"""Which reports of long ago a look still reads: none that has ended, with its withdrawal."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from scheduler.cares.diary.entry import Entry, TakenBack
from scheduler.cares.diary.of_reports import report_as_made, reports_of, still_matter
from scheduler.cares.diary.report_entries import ReportEnded
from scheduler.cares.records import Report, Spell

FIRST = date(2026, 9, 1)
LONG_AFTER = date(2026, 12, 21)
AT = datetime(2026, 9, 1, 12, tzinfo=UTC)
WEEK = timedelta(days=7)
ENDED = Spell(first=FIRST, last=FIRST + WEEK)
ORDER = Report(kind="order", spell=Spell(first=FIRST))


def entry(what: object, number: int) -> Entry:
    return Entry(
        what=what,  # type: ignore[arg-type] # a report, or what is said of one
        about="orchard", day=FIRST, who="Ana", said_at=AT, happened_at=AT, number=number,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("report", "matters"),
    [
        (ORDER, True),
        (Report(kind="heat", spell=ENDED), False),
        (Report(kind="medicine", spell=ENDED, house_id="walnut", egg_days=14), False),
        (Report(kind="medicine", spell=ENDED, house_id="walnut", egg_days=104), True),
        (Report(kind="medicine", spell=ENDED, house_id="walnut", egg_days=0, meat_days=200), True),
        (replace(ORDER, spell=Spell(first=FIRST, last=LONG_AFTER)), True),
    ],
)
def test_it_matters_until_it_has_ended_with_its_withdrawal(
    report: Report, *, matters: bool
) -> None:
    made = entry(report_as_made(1, report), 1)
    assert still_matter([made], LONG_AFTER) == [1] * matters


def test_with_it_goes_all_that_was_said_of_it() -> None:
    entries = [
        entry(report_as_made(1, ORDER), 1),
        entry(ReportEnded(report=1, last=FIRST + WEEK), 2),
        entry(TakenBack(entry=2), 3),
        entry(report_as_made(2, ORDER), 4),
        entry(TakenBack(entry=4), 5),
    ]
    kept = still_matter(entries, LONG_AFTER)
    assert kept == [1, 2], "what takes back is read with what it takes back"
    left = reports_of(one for one in entries if one.number in {*kept, 3})
    assert left[0] == reports_of(entries)[0][:1]
