"""The state of the reminders in sentences and rows."""

from dataclasses import replace
from datetime import UTC, date, datetime

from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.cares.door_state import Door
from scheduler.journal.history import ChannelHistory
from scheduler.profile.values import Profile
from scheduler.service.health.causes import Cause
from scheduler.service.health.health_words import (
    cautions,
    cautions_on_a_page,
    channels,
    channels_on_a_page,
    doors,
    how_it_runs,
    on_a_page,
    who_could_be_told,
)
from scheduler.service.health.report_health import Health
from scheduler.service.health.tick_file import Pulse, WeatherGap, as_text, read_text
from scheduler.service.reachable import Reach, WayTo

AT = datetime(2026, 6, 21, 20, 30, tzinfo=UTC)
PULSE = Pulse(
    wall="2026-06-21T20:30:00Z", boot_s=9.0, complete_boot_s=5.0, trust="trusted", profile_number=3
)


def test_that_they_run_is_said_before_the_last_look(small: Profile) -> None:
    health = Health(profile=small, pulse=PULSE, tick_age_s=4.2)
    assert how_it_runs(health) == (
        "The reminders are running.",
        "Last checked 4 s ago. The clock is trusted. Profile number 3 is in force.",
    )


STANDS = Cause(kind="silent", what="It stands.", remedy="Start it.", command="Run: duskfold serve")
ONE_WAY = Cause(kind="way-broken", what="Nothing reaches Kim by mail: no.", remedy="Mend it.")


def test_faults_are_told_instead_and_no_look_that_nobody_saw(small: Profile) -> None:
    health = Health(profile=small, causes=(STANDS, ONE_WAY), pulse=None, tick_age_s=None)
    assert how_it_runs(health) == ("It stands. Run: duskfold serve",)
    assert health.faults == how_it_runs(health)
    assert cautions(health) == ("Nothing reaches Kim by mail: no.",)


def test_a_page_says_what_to_do_and_no_command(small: Profile) -> None:
    health = Health(profile=small, causes=(STANDS, ONE_WAY), pulse=None, tick_age_s=None)
    assert on_a_page(health, (STANDS,)) == ("It stands. Start it.", "Nobody can be told tonight.")
    assert cautions_on_a_page(health) == ("Nothing reaches Kim by mail: no. Mend it.",)


def test_a_look_before_this_machine_was_started_has_no_age(small: Profile) -> None:
    health = Health(profile=small, pulse=PULSE, tick_age_s=None)
    [_, looked] = how_it_runs(health)
    assert looked == (
        "Last checked before this machine was started. The clock is trusted. "
        "Profile number 3 is in force."
    )


def test_who_could_be_told_comes_before_everything(small: Profile) -> None:
    ways = [("Ana", "push"), ("Kim", "push"), ("Kim", "mail")]
    reach = Reach(ways=tuple(
        WayTo(person_id=name.lower(), name=name, channel=channel)  # type: ignore[arg-type] # a name
        for name, channel in ways
    ))  # fmt: skip
    health = Health(profile=small, pulse=PULSE, tick_age_s=4.2, reach=reach)
    assert (
        who_could_be_told(health) == "Who can be told tonight: Ana by push; Kim by push and mail."
    )
    nobody = Health(profile=small, pulse=PULSE, tick_age_s=4.2)
    assert who_could_be_told(nobody) == "Nobody can be told tonight."


def test_doors_and_channels_are_rows_by_the_sites_clock(small: Profile) -> None:
    door = RemindedDoor(
        coop_id="walnut",
        name="Walnut",
        birds=12,
        noun="hens",
        lock_up=AT,
        latest=AT,
        automatic=False,
    )
    walnut = (door, Door(state="searching", counted=11, expected=12, missing=1))
    empty = (replace(door, name="Ark"), Door(state="open", expected=0))
    told = ChannelHistory(channel="mail", sent_at=AT, failed_at=None, reason="")
    tonight = (walnut, empty)
    health = Health(profile=small, pulse=None, tick_age_s=None, tonight=tonight, channels=(told,))
    assert doors(health) == [
        ("Walnut", "lock up 21:30", "shut by 21:30", "shut, 1 missing"),
        ("Ark", "lock up 21:30", "shut by 21:30", "no birds"),
    ]
    assert channels(health) == [
        ("mail", "last sent 2026-06-21 21:30", "never failed", ""),
    ]
    assert channels_on_a_page(health) == [
        ("mail", "last sent Sun 21 Jun, 21:30", "never failed"),
    ]


def test_a_page_says_whose_message_failed_and_not_only_that_one_did(small: Profile) -> None:
    failed = ChannelHistory(channel="mail", sent_at=None, failed_at=AT, reason="no such mailbox")
    kims = Cause(kind="way-failed", what="The last message to Kim by mail: no.", remedy="Wait.")
    health = Health(profile=small, pulse=PULSE, tick_age_s=4.2, causes=(kims,), channels=(failed,))
    assert "no such mailbox" in channels(health)[0]
    assert "no such mailbox" not in channels_on_a_page(health)[0]
    assert cautions_on_a_page(health) == ("The last message to Kim by mail: no. Wait.",)


def test_a_page_gives_neither_seconds_nor_the_number_of_the_profile(small: Profile) -> None:
    for age_s, told in {
        4.2: "Last checked a moment ago.",
        300.0: "Last checked 5 minutes ago.",
        7300.0: "Last checked 2 hours ago.",
        None: "Last checked before this machine was started.",
    }.items():
        health = Health(profile=small, pulse=PULSE, tick_age_s=age_s)
        assert on_a_page(health, ())[-1] == f"{told} The clock is trusted."


def test_what_is_no_fault_is_still_told(small: Profile) -> None:
    quiet = Health(profile=small, pulse=None, tick_age_s=None)
    assert cautions(quiet) == ()
    missed = Health(
        profile=small,
        pulse=None,
        tick_age_s=None,
        holds=False,
        unconfirmed=(date(2026, 6, 19), date(2026, 6, 20)),
    )
    assert cautions(missed) == (
        "The push server holds no messages, so nobody is alerted if this machine dies.",
        "Evenings that nobody confirmed: 2026-06-19, 2026-06-20.",
    )
    days = "Evenings that nobody confirmed: Friday 19 June, Saturday 20 June."
    assert cautions_on_a_page(missed)[-1] == days


GAPS = (
    WeatherGap("service", "met-norway", "the weather service turns this program away"),
    WeatherGap("warnings", "us-nws", "the weather service has moved to another address"),
    WeatherGap("sensor", "Garden", "the thermometer's reading is more than two hours old"),
    WeatherGap(
        "ending", "open-meteo", "it says that it will stop answering this version of Duskfold"
    ),
)


def test_it_is_said_which_weather_service_and_thermometer_is_not_used_and_why(
    small: Profile,
) -> None:
    health = Health(profile=small, pulse=replace(PULSE, gaps=GAPS), tick_age_s=4.2)
    said = (
        "No new forecast from MET Norway: the weather service turns this program away.",
        "No new warnings from the US National Weather Service: " + GAPS[1].why + ".",
        "The thermometer Garden is not used: the thermometer's reading is more than two hours old.",
        f"Open-Meteo still gives forecasts, but {GAPS[3].why}. Look for a newer version.",
    )
    assert cautions(health) == cautions_on_a_page(health) == said
    assert health.faults == ()


def test_the_ticks_file_keeps_it_and_one_without_it_is_a_tick_all_the_same() -> None:
    pulse = replace(PULSE, gaps=GAPS)
    assert read_text(as_text(pulse)) == pulse
    older = as_text(PULSE).replace('"gaps": [], ', "")
    assert "gaps" not in older
    assert read_text(older) == PULSE
