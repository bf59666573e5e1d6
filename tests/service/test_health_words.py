"""The state of the reminders in sentences and rows."""

from datetime import UTC, date, datetime

from scheduler.journal.history import ChannelHistory
from scheduler.profile.values import Profile
from scheduler.service.health import Pulse
from scheduler.service.health_words import cautions, channels, doors, how_it_runs
from scheduler.service.report_health import DoorHealth, Health

AT = datetime(2026, 6, 21, 20, 30, tzinfo=UTC)
PULSE = Pulse(
    wall="2026-06-21T20:30:00Z", boot_s=9.0, complete_boot_s=5.0, trust="trusted", profile_number=3
)


def test_that_they_run_is_said_before_the_last_look(small: Profile) -> None:
    health = Health(profile=small, faults=(), pulse=PULSE, tick_age_s=4.2)
    assert how_it_runs(health) == (
        "The reminders are running.",
        "Last look 4 s ago; clock trusted; profile number 3.",
    )


def test_faults_are_told_instead_and_no_look_that_nobody_saw(small: Profile) -> None:
    health = Health(profile=small, faults=("One.", "Two."), pulse=None, tick_age_s=None)
    assert how_it_runs(health) == ("One.", "Two.")


def test_doors_and_channels_are_rows_by_the_sites_clock(small: Profile) -> None:
    door = DoorHealth(
        coop_id="walnut",
        name="Walnut",
        lock_up=AT,
        latest=AT,
        state="searching",
        counted=11,
        expected=12,
        who="Ana",
        missing=1,
        amiss="1 missing",
    )
    told = ChannelHistory(channel="mail", sent_at=AT, failed_at=None, reason="")
    health = Health(
        profile=small, faults=(), pulse=None, tick_age_s=None, tonight=(door,), channels=(told,)
    )
    assert doors(health) == [
        ("Walnut", "lock up 21:30", "latest 21:30", "shut, 1 missing"),
    ]
    assert channels(health) == [
        ("mail", "last sent 2026-06-21 21:30", "last failed never", ""),
    ]


def test_what_is_no_fault_is_still_told(small: Profile) -> None:
    quiet = Health(profile=small, faults=(), pulse=None, tick_age_s=None)
    assert cautions(quiet) == ()
    missed = Health(
        profile=small,
        faults=(),
        pulse=None,
        tick_age_s=None,
        holds=False,
        unconfirmed=(date(2026, 6, 19), date(2026, 6, 20)),
    )
    assert cautions(missed) == (
        "The push server holds no messages: if this machine dies, nobody is rung.",
        "Evenings that nobody confirmed: 2026-06-19, 2026-06-20.",
    )
