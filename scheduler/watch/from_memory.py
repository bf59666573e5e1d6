"""What is due while the journal cannot be written, to be sent without a record, as with one."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.alerts.words import own_faults
from scheduler.watch.evenings_due import pursued
from scheduler.watch.look import Seen
from scheduler.watch.parcel import FromMemory
from scheduler.watch.profile_in_force import ProfileInForce
from scheduler.watch.quiet_hours import can_be_said
from scheduler.watch.site_note import told_to_duty
from scheduler.watch.without_journal import Unwritten


def due_from_memory(  # noqa: PLR0913 - what a tick knows without its journal
    unwritten: Unwritten,
    in_force: ProfileInForce,
    seen: Seen,
    nights: Sequence[Night],
    now: datetime,
    *,
    is_lasting: bool,
) -> Iterator[FromMemory]:
    """Each delivery that is due, under way from then on; `is_lasting`: no restart would help."""
    almanac = in_force.almanac
    for _, found in pursued(almanac, nights, now):
        unwritten.drop(found.drop)
        unwritten.add(found.add)
    if is_lasting and can_be_said(almanac, nights, now):
        # Whoever is on duty hears once a day that nothing can be written.
        today, told = almanac.household.today(now), {row.key for row in seen.rows}
        on_duty = told_to_duty(almanac, Step("not-written"), today, own_faults.not_written(), now)
        unwritten.add(one for one in on_duty if one.key not in told)
    for one in unwritten.take(now):
        name, address = in_force.reached(one.key) or ("", None)
        yield FromMemory(delivery=one, person_name=name, address=address)
