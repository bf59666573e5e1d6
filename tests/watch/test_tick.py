"""The tick in one process, on a driven clock: where the profile or the program is not right."""

from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import Outcome
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import Report, Spell
from scheduler.journal import access, memos, reports
from scheduler.journal.access import SignedIn
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, Writing
from scheduler.service.agree_clock import agree_clock
from scheduler.service.diary import Speaker
from scheduler.service.doors.looking import Search, say_looking
from scheduler.service.health.causes import Cause
from scheduler.service.health.report_health import report_health
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs import kept_ticks
from scheduler.service.people.access import passes
from scheduler.service.reports import report
from scheduler.watch.unheard_answers import Deafness
from tests.conftest import SMALL
from tests.faults.driven import MINUTE, Driven, DrivenClock, driven, memory_folder
from tests.journal.as_said import as_said, speaks

__all__ = ["memory_folder"]

ANA = '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b77aa"\n'
SAM = '[[person]]\nname = "Sam"\npush = "https://push.example.net/sam-8c1f9e2b77aa"\n'
NOON = datetime(2026, 12, 21, 12, 30, tzinfo=UTC)  # lock-up 16:18, latest 16:33

SIGNED_IN = SignedIn(
    id_hash="a" * 64,
    person_id="ana",
    device="iPhone",
    made_at=NOON,
    until=NOON + timedelta(days=365),
    seen_at=NOON,
)


def at(clock: str) -> datetime:
    hour, minute = map(int, clock.split(":"))
    return NOON.replace(hour=hour, minute=minute)


def follow(house: Driven, text: str) -> None:
    """The profile becomes this one; it is followed once it has looked the same twice."""
    house.write_profile(text)
    for _ in range(3):
        house.at(house.clock.at + MINUTE / 4)


def titles(house: Driven, who: str) -> list[str]:
    """Everything that person read."""
    return [
        one.outgoing.message.title
        for one in house.messages()
        if one.outgoing.person_name == who and not one.outgoing.message.title.startswith("Today")
    ]


def test_whoever_joins_in_the_evening_is_told_with_everybody_from_then_on(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        for clock in ("15:48", "16:19"):
            house.at(at(clock))
        follow(house, SMALL + ANA + SAM)
        for clock in ("16:34", "16:44"):
            house.at(at(clock))
        open_door = "Is the door shut? Walnut, 12 hens, due 16:33"
        assert titles(house, "Sam") == [open_door]
        follow(house, SMALL + SAM)
        house.at(at("16:59"))
        left = "Ana is no longer reminded: now Sam is on duty"
        once_more = open_door.replace("Is the door shut", "IS THE DOOR SHUT")
        assert titles(house, "Sam") == [open_door, left, once_more]


def test_a_profile_that_takes_the_birds_out_of_a_house_is_told(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        follow(house, SMALL + "arrived = 2027-01-10\n" + ANA)
        [told] = titles(house, "Ana")
        assert told == "No more reminders for Walnut: the profile has no birds there"
        house.at(at("16:19"))
        assert len(titles(house, "Ana")) == 1


def test_a_new_name_in_the_profile_is_asked_about_with_what_it_ends(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        follow(house, (SMALL + ANA).replace("Walnut", "Hazel"))
        [told] = [one for one in house.messages() if "new name" in one.outgoing.message.title]
        assert told.outgoing.message.body == (
            "Walnut is gone and Hazel is new, so its diary, what was noted of its birds and the "
            "address of its own calendar end "
            'with Walnut. If only the name has changed, write id = "walnut" beside it in [[coop]].'
        )
        follow(house, (SMALL + ANA).replace('"Walnut"', '"Hazel"\nid = "walnut"'))
        follow(house, (SMALL + ANA).replace('"Walnut"', '"Filbert"\nid = "walnut"'))
        asked = [one for one in titles(house, "Ana") if "new name" in one]
        assert len(asked) == 1, "an id that stays, or is written out, is asked about"
        with house.journal.reading() as connection:
            assert memos.houses(connection, "orchard") == {"hazel", "walnut"}


def test_what_a_renamed_person_has_waits_for_the_answer_and_ends_nothing(
    memory_folder: Path,
) -> None:
    def known(house: Driven) -> set[tuple[str, bool]]:
        """Whose addresses there are, and whether they have ended."""
        profile, ticker = house.running.household.profile, house.running
        with house.journal.reading() as connection:
            begun = access.renewals(connection, "orchard")
            asked = access.asked_of(connection, "orchard")
        found = passes(profile, ticker.almanac.key, begun, house.clock.at, asked_of=asked).values()
        return {(one.person_id, one.ended) for one in found}

    with driven(memory_folder, SMALL + ANA + SAM, NOON) as house:
        house.at(NOON)
        with house.journal.writing() as writing:
            access.sign_in(writing.connection, "orchard", SIGNED_IN)
        renamed = (SMALL + ANA + SAM).replace('"Ana"', '"Anna"')
        follow(house, renamed)
        assert known(house) == {("ana", False), ("anna", False), ("sam", False)}
        follow(house, renamed.replace("hens = 12", "hens = 11"))
        follow(house, renamed.replace('"Anna"', '"Anna"\nid = "ana"'))
        assert known(house) == {("ana", False), ("anna", True), ("sam", False)}
        with house.journal.reading() as connection:
            assert access.sessions(connection, "orchard") == (SIGNED_IN,)
        # Once more, and nobody answers: after thirty days it has ended.
        follow(house, renamed)
        house.clock.go_to(NOON + timedelta(days=31))
        follow(house, renamed.replace("hens = 12", "hens = 11"))
        assert known(house) >= {("ana", True), ("anna", False)}
        with house.journal.reading() as connection:
            assert access.sessions(connection, "orchard") == ()


def test_whoever_comes_back_beside_the_other_is_somebody_new(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + SAM + ANA, NOON) as house:
        house.at(NOON)
        with house.journal.writing() as writing:
            access.sign_in(writing.connection, "orchard", SIGNED_IN)
            guest = replace(SIGNED_IN, id_hash="b" * 64, person_id="sam", through=("ana",))
            access.sign_in(writing.connection, "orchard", guest)
        renamed = (SMALL + SAM + ANA).replace('"Ana"', '"Anna"')
        follow(house, renamed)
        with house.journal.reading() as connection:
            assert len(access.sessions(connection, "orchard")) == 2
        follow(house, renamed + ANA)
        with house.journal.reading() as connection:
            assert access.sessions(connection, "orchard") == ()
            assert access.generations(connection, "orchard") == {"ana": 1}


def test_a_site_of_another_name_is_not_followed_and_told_what_to_write(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        follow(house, (SMALL + ANA).replace('"Orchard"', '"Meadow"'))
        [told] = [one for one in house.messages() if "not in force" in one.outgoing.message.title]
        assert told.outgoing.message.body == (
            'The reason: it is of another site, id "meadow" and not "orchard". If only its name '
            "has changed, give the garden its old id back beside the new name. If it is another "
            "place, give it an id of its own, then restart Duskfold on its machine to take it over."
        )


def test_a_site_that_was_renamed_while_nothing_ran_goes_on_until_its_profile_says_what_it_is(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.at(NOON)
        house.stop()
        meadow = (SMALL + ANA).replace('"Orchard"', '"Meadow"')
        house.write_profile(meadow)
        house.start()
        house.at(NOON + 5 * MINUTE)
        assert house.running.site_id == "orchard", "addresses, diary and evening go by it"
        [told] = [one for one in house.messages() if "not in force" in one.outgoing.message.title]
        assert 'id "meadow" and not "orchard"' in told.outgoing.message.body
        house.at(at("16:19"))
        assert "Lock up now: Walnut, 12 hens, by 16:33" in titles(house, "Ana")
        # The old id beside the new name: it is followed.
        follow(house, meadow.replace('"Meadow"', '"Meadow"\nid = "orchard"'))
        assert house.running.household.profile.site.name == "Meadow"
        house.stop()
        # An id of its own is another place.
        house.write_profile(meadow.replace('"Meadow"', '"Meadow"\nid = "meadow"'))
        house.start()
        house.at(at("16:25"))
        assert house.running.site_id == "meadow"
        [asked] = [one for one in house.messages() if "new name" in one.outgoing.message.title]
        assert 'write id = "orchard" beside it in [site]' in asked.outgoing.message.body


def test_a_fault_of_the_program_silences_no_door(memory_folder: Path) -> None:
    def broken(_: datetime) -> Household | None:
        raise ZeroDivisionError

    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.at(at("15:48"))
        house.running.follower.changed_profile = broken
        house.clock.go_to(at("16:19"))
        assert not house.running.tick()
        house.settle()
        assert "Lock up now: Walnut, 12 hens, by 16:33" in titles(house, "Ana")
        ticker = house.running
        health = report_health(ticker.place, ticker.household, house.clock.read())
        assert any("a fault of the program" in fault for fault in health.faults)


MAIL = '[mail]\nhost = "mail.example.net"\nuser = "hens"\nfrom = "hens@example.net"\n'
LEA = '[[person]]\nname = "Lea"\nmail = "lea@example.net"\n'
MISSING = "the password of the mail server is missing"


def causes(house: Driven) -> dict[str, Cause]:
    """Why the reminders cannot be relied on, by its kind."""
    ticker = house.running
    found = report_health(ticker.place, ticker.household, house.clock.read())
    return {one.kind: one for one in found.causes if one.counts}


def test_a_missing_secret_silences_only_whom_nothing_else_reaches(memory_folder: Path) -> None:
    given: dict[str, str] = {}
    with driven(memory_folder, SMALL + LEA + ANA + MAIL, NOON, given) as house:
        house.tick()
        [cause] = causes(house).values()
        assert cause.what == f"Lea cannot be told (mail: {MISSING})."
        assert "DUSKFOLD_" not in cause.what + cause.remedy
        assert titles(house, "Ana") == [f"Nothing goes out by mail: {MISSING}"]
        house.at(at("16:19"))
        assert titles(house, "Ana")[-1] == "Lock up now: Walnut, 12 hens, by 16:33"
        assert titles(house, "Lea") == []
        given |= {"DUSKFOLD_MAIL_PASSWORD": "straw"}
        house.at(at("16:25"))
        assert causes(house) == {}
        house.at(at("16:50"))
        assert titles(house, "Lea") != []


def test_who_left_while_a_secret_is_missing_is_told_of_and_whom_it_cuts_off_has_not_left(
    memory_folder: Path,
) -> None:
    given: dict[str, str] = {}
    with driven(memory_folder, SMALL + ANA + SAM + LEA + MAIL, NOON, given) as house:
        house.tick()
        follow(house, SMALL + ANA + LEA + MAIL)
        given |= {"DUSKFOLD_MAIL_PASSWORD": "straw"}
        house.at(house.clock.at + timedelta(minutes=5))
        [told] = [one for one in titles(house, "Ana") if "no longer reminded" in one]
        assert told.startswith("Sam is no longer reminded")


def test_a_change_that_ends_a_way_for_want_of_a_secret_is_not_followed(
    memory_folder: Path,
) -> None:
    by_mail = ANA.split("push", maxsplit=1)[0] + 'mail = "ana@example.net"\n'
    with driven(memory_folder, SMALL + ANA + SAM, NOON, {}) as house:
        house.tick()
        follow(house, SMALL + by_mail + SAM + MAIL)
        [told] = [one.outgoing.message for one in house.messages() if "not in force" in
                  one.outgoing.message.title and one.outgoing.person_name == "Ana"]  # fmt: skip
        cause = causes(house)["not-followed"]
        assert MISSING in told.body
        assert MISSING in cause.what
        assert "start Duskfold again" in told.body
        assert cause.remedy in told.body
        assert "DUSKFOLD_" not in told.body + cause.what + cause.remedy
        assert cause.command == "To see what is missing: duskfold check"
        house.stop()
        house.start()
        house.tick()
        assert "not-followed" in causes(house), "a restart makes it no better"
        follow(house, SMALL + ANA + SAM + LEA + MAIL)
        assert list(causes(house)) == ["cut-off"], "nobody loses anything by that"


def test_a_secret_in_a_file_is_taken_from_there_and_nobody_is_told_to_start_again(
    memory_folder: Path,
) -> None:
    file = memory_folder / "password"
    given = {"DUSKFOLD_MAIL_PASSWORD_FILE": str(file)}
    with driven(memory_folder, SMALL + LEA + ANA + MAIL, NOON, given) as house:
        house.tick()
        [cause] = causes(house).values()
        told = house.messages()[-1].outgoing.message.body
        assert all("start Duskfold again" not in one for one in (cause.remedy, told))
        assert cause.remedy in told
        used = []
        for words in ("straw", "hay", ""):  # one that can be read no more is kept
            file.write_text(words, encoding="utf-8")
            house.at(house.clock.at + MINUTE / 4)
            used.append(house.running.in_force.secrets_in_use)
            assert causes(house) == {}
        assert used[0] != used[1] == used[2]


@pytest.mark.parametrize("people", [SAM, ""])
def test_a_change_that_waits_for_a_secret_is_followed_once_it_is_in_its_file(
    memory_folder: Path, people: str
) -> None:
    by_mail = ANA.split("push", maxsplit=1)[0] + 'mail = "ana@example.net"\n'
    file = memory_folder / "password"
    given = {"DUSKFOLD_MAIL_PASSWORD_FILE": str(file)}
    with driven(memory_folder, SMALL + ANA + people, NOON, given) as house:
        house.tick()
        follow(house, SMALL + by_mail + people + MAIL)
        cause = causes(house)["not-followed"]
        assert "cannot be read" in cause.what
        assert "looked at again within a minute" in cause.remedy
        file.write_text("straw", encoding="utf-8")
        house.at(house.clock.at + MINUTE / 4)
        assert causes(house) == {}


def test_a_house_without_a_plan_of_its_evening_stands_in_the_pulse(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.at(at("12:40"))
        house.running.almanac.quarantined.add("walnut")
        house.at(at("12:41"))
        ticker = house.running
        [fault] = report_health(ticker.place, ticker.household, house.clock.read()).faults
        assert fault == "There are no reminders for Walnut, as the evening cannot be worked out."


def step_to(house: Driven, at: datetime) -> None:
    """Somebody sets the clock to that time, and a tick comes."""
    house.clock.step(at - house.clock.at)
    house.clock.boot_s += 15
    house.tick()


AHEAD = "Duskfold's clock was wrong, so what was said is taken back: look at the doors"


@pytest.mark.parametrize("restarted", [False, True])
def test_a_closing_said_by_a_clock_that_ran_ahead_silences_no_evening(
    memory_folder: Path, restarted: bool
) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        house.clock.step(timedelta(hours=9))
        house.tick()
        house.say("closed", "Ana", count=12)
        key = TaskKey("water", "orchard", NOON.date())
        kept_ticks.mark(house.journal, "orchard", [key], speaks("Ana", house.clock.at))
        if restarted:
            house.stop()
            house.clock = DrivenClock(at("14:20"))
            house.start()
            house.tick()
            assert house.running.believed_at is None, "behind a last tick that was wrong"
            agree_clock(house.journal, "orchard", house.clock.at)
            house.at(at("14:20"))
            house.at(at("14:21"))
        else:
            house.clock.synchronised = True
            step_to(house, at("14:20"))
        before = len(titles(house, "Ana"))
        assert titles(house, "Ana").count(AHEAD) == 1
        for clock in ("15:49", "16:19", "16:34"):
            house.at(at(clock))
        assert "Lock up now: Walnut, 12 hens, by 16:33" in titles(house, "Ana")[before:]
        assert titles(house, "Ana").count(AHEAD) == 1
        with house.journal.reading() as connection:
            [said] = as_said(connection, "orchard")
            [ticked] = as_said(connection, "orchard", "job")
        assert said.undone_by == "the clock"
        assert ticked.undone_by == "the clock"


def test_who_looked_for_birds_by_a_clock_that_ran_ahead_looks_no_more(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        house.clock.step(timedelta(hours=9))
        house.tick()
        house.say("closed", "Ana", count=11)
        search = Search(coop_id="walnut", evening=NOON.date())
        by = speaks("Ana", house.clock.at)
        assert say_looking(house.journal, house.running.almanac, search, by) == "kept"
        house.clock.synchronised = True
        step_to(house, at("14:20"))
        with house.journal.reading() as connection:
            [looked] = as_said(connection, "orchard", "search")
        assert looked.undone_by == "the clock"
        assert titles(house, "Ana").count(AHEAD) == 1


def test_a_clock_set_back_without_the_network_takes_back_only_that_doors_are_shut(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.tick()
        today, journal = NOON.date(), house.journal
        order = Report(kind="order", spell=Spell(first=today))
        report.make(journal, "orchard", order, house.clock.at)
        key = TaskKey("water", "orchard", today)
        kept_ticks.mark(journal, "orchard", [key], speaks("Ana", house.clock.at))
        house.say("dead", "Ana", count=1)
        house.say("closed", "Ana", count=11)
        step_to(house, at("12:00"))
        house.at(at("12:05"))
        assert "Duskfold's clock was set back: say again which doors are shut" in titles(
            house, "Ana"
        )
        with journal.reading() as connection:
            dead, closed = as_said(connection, "orchard")
            [ticked] = as_said(connection, "orchard", "job")
        assert (dead.undone_by, closed.undone_by) == ("", "the clock")
        assert ticked.undone_at is None
        assert list(journal.reports("orchard").values()) == [order]
        house.at(at("16:19"))
        assert titles(house, "Ana")[-1] == "Lock up now: Walnut, 11 hens, by 16:33"


def test_what_was_said_by_the_time_of_the_network_outlives_a_clock_that_is_set_back_wrongly(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.clock.synchronised = True
        house.tick()
        house.say("closed", "Ana", count=12)
        house.at(at("16:21"))
        house.clock.synchronised = False
        step_to(house, at("12:00"))
        assert house.running.believed_at is None
        house.clock.synchronised = True
        step_to(house, at("16:30"))
        house.at(at("16:50"))
        told = titles(house, "Ana")
        assert AHEAD not in told
        assert not [one for one in told if "not confirmed" in one.lower()]
        with house.journal.reading() as connection:
            [said] = as_said(connection, "orchard")
        assert said.undone_at is None


def test_what_was_just_said_outlives_a_clock_that_is_set_back_a_little(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.tick()
        house.say("closed", "Ana", count=12)
        step_to(house, at("16:17"))
        house.at(at("16:34"))
        assert AHEAD not in titles(house, "Ana")
        with house.journal.reading() as connection:
            [said] = as_said(connection, "orchard")
        assert said.undone_at is None


def test_what_was_reported_by_a_clock_that_ran_ahead_is_taken_back_in_the_same_message(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        today, journal = NOON.date(), house.journal
        order = Report(kind="order", spell=Spell(first=today))
        number = report.make(journal, "orchard", order, NOON)
        house.clock.step(timedelta(days=1))
        house.tick()
        ahead = Speaker(who="Ana", now=house.clock.at, today=today + timedelta(days=1))
        report.end(journal, "orchard", number, today, ahead)
        frost = Report(kind="frost", spell=Spell(first=ahead.today), air_c=-8.0)
        report.make(journal, "orchard", frost, ahead.now)
        house.clock.synchronised = True
        step_to(house, at("14:20"))
        assert titles(house, "Ana").count(AHEAD) == 1
        assert journal.reports("orchard") == {number: order}
        assert house.running.almanac.records.reports == (order,)
        with journal.reading() as connection:
            [said] = reports.changes(connection, "orchard")
            assert said.undone_by == "the clock"
            assert reports.written(connection, "orchard")[1].undone_by == "the clock"


HINGES = '[[care]]\nname = "Hinges"\nevery = "1 days"\n'


def test_a_job_of_the_keeper_s_own_counts_from_the_first_day_of_a_clock_that_is_trusted(
    memory_folder: Path,
) -> None:
    today = NOON.date()
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        house.clock.step(timedelta(days=400))  # nobody knows that it is right
        follow(house, SMALL + ANA + HINGES)
        assert house.running.believed_at is None
        assert "hinges" not in dict(house.running.almanac.records.own_added)
        step_to(house, at("13:00"))
        assert house.running.almanac.records.own_added == (("hinges", today),)
        lines = [line.text for walk in house.running.almanac.plan_of(today).rounds
                 for line in walk.lines]  # fmt: skip
        assert "Hinges" not in " ".join(lines), "due because it has become known"


def test_an_own_job_that_a_clock_ahead_has_noted_is_not_silent_until_then(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        house.clock.step(timedelta(days=1))  # so little is believed
        follow(house, SMALL + ANA + HINGES)
        step_to(house, at("13:00"))
        assert house.running.almanac.records.own_added == (("hinges", NOON.date()),)


DEAF = Deafness(age_s=240.0, reason="no connection")
BUTTONS = "Buttons on messages have not worked since"


def heard_of_buttons(house: Driven) -> list[str]:
    return [one for one in titles(house, "Ana") if one.startswith("Buttons")]


def test_that_buttons_do_not_work_rings_nobody_at_night_while_no_door_waits(
    memory_folder: Path,
) -> None:
    silent = '[reminders]\nbrief = "none"\n'
    with driven(memory_folder, SMALL + ANA + silent, at("16:20")) as house:
        house.tick()
        house.say("closed", "Ana", count=12)
        house.at(at("23:00"))
        house.running.deafness = lambda: DEAF
        for hours in (0, 4, 7):
            house.at(at("23:30") + timedelta(hours=hours))
            assert heard_of_buttons(house) == []
        house.at(at("07:00") + timedelta(days=1))
        assert heard_of_buttons(house) == [f"{BUTTONS} 23:26"]


def test_that_buttons_work_again_before_anybody_was_told_is_no_news(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.tick()
        house.say("closed", "Ana", count=12)
        house.running.deafness = lambda: DEAF
        house.at(at("23:00"))
        house.running.deafness = lambda: None
        house.at(at("23:10"))
        house.at(at("08:10") + timedelta(days=1))
        assert heard_of_buttons(house) == []


def test_the_brief_that_says_that_buttons_do_not_work_says_it_instead(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.tick()
        house.say("closed", "Ana", count=12)
        house.running.deafness = lambda: DEAF
        house.at(at("23:00"))
        house.at(at("07:00") + timedelta(days=1))
        [brief] = [one.outgoing.message for one in house.messages()
                   if one.outgoing.message.title.startswith("Today")]  # fmt: skip
        assert BUTTONS in brief.title + brief.body
        assert heard_of_buttons(house) == []


def test_that_buttons_do_not_work_is_said_at_once_while_a_door_waits(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, at("16:20")) as house:
        house.tick()
        house.at(at("22:30"))
        house.running.deafness = lambda: DEAF
        house.at(at("22:31"))
        assert heard_of_buttons(house) == [f"{BUTTONS} 22:27"]


def test_a_second_try_does_not_wait_for_the_time_of_a_clock_that_ran_ahead_before_a_restart(
    memory_folder: Path,
) -> None:
    busy = Outcome(kind="transient", reason="busy")
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        push = house.channel("push")
        push.meaning = lambda _: busy
        follow(house, SMALL + ANA + "nonsense = 1\n")
        house.clock.step(timedelta(hours=9))
        house.tick()
        refused = "The changed profile has 1 problem, so the old one is still in force"
        assert refused not in titles(house, "Ana")
        house.stop()
        push.meaning = lambda _: Outcome(kind="sent")
        house.write_profile(SMALL + ANA)
        house.clock = DrivenClock(at("12:45"))
        house.start()
        house.tick()
        agree_clock(house.journal, "orchard", house.clock.at)
        house.at(at("12:46"))
        house.at(at("12:47"))
        assert refused in titles(house, "Ana")


def unwritable(_: Journal, *, beside: bool = False) -> AbstractContextManager[Writing]:
    del beside
    raise JournalFault("attempt to write a readonly database")


LOCK_UP = "Lock up now: Walnut, 12 hens, by 16:33"


def test_what_waits_in_a_journal_that_cannot_be_written_is_tried_again(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with driven(memory_folder, SMALL + ANA, at("15:50")) as house:
        house.tick()
        house.channel("push").script(Outcome(kind="transient", reason="busy"))
        house.at(at("16:19"))
        assert LOCK_UP not in titles(house, "Ana")
        with monkeypatch.context() as patched:
            patched.setattr(Journal, "writing", unwritable)
            house.at(at("16:20"))
            assert titles(house, "Ana").count(LOCK_UP) == 1
        house.at(at("16:21"))
        assert titles(house, "Ana").count(LOCK_UP) == 1


def test_what_is_under_way_from_memory_is_not_claimed_as_well(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with driven(memory_folder, SMALL + ANA, at("15:50")) as house:
        house.tick()
        house.channel("push").script(Outcome(kind="transient", reason="busy"))
        house.at(at("16:19"))
        with monkeypatch.context() as patched:
            patched.setattr(Journal, "writing", unwritable)
            house.clock.go_to(at("16:20"))
            assert not house.running.tick()
        house.at(at("16:21"))  # it can be written again before the courier has come to it
        assert titles(house, "Ana").count(LOCK_UP) == 1


def test_what_a_clock_that_ran_ahead_overtook_is_told_once_it_is_right(memory_folder: Path) -> None:
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.at(at("14:00"))
        house.clock.step(timedelta(hours=9))
        house.tick()
        [early] = titles(house, "Ana")
        assert early.startswith("NOT CONFIRMED: look with a torch before bed")
        house.clock.go_to(at("17:10") + timedelta(hours=9))
        house.clock.step(-timedelta(hours=9))
        house.tick()
        assert titles(house, "Ana")[1:] == ["IS THE DOOR SHUT? Walnut, 12 hens, due 16:33"]


@pytest.mark.parametrize(
    ("right_at", "told"),
    [
        ("16:10", ["Lock up at 16:18: Walnut, 12 hens, by 16:33", LOCK_UP]),
        ("20:00", ["Still not confirmed shut: Walnut, 12 hens, due 16:33"]),
    ],
)
def test_what_a_clock_told_hours_too_early_is_told_again_however_late_it_is_put_right(
    memory_folder: Path, right_at: str, told: list[str]
) -> None:
    ahead = timedelta(hours=3)
    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        house.clock.go_to(at("13:00"))
        house.clock.step(ahead)
        while house.clock.at < at(right_at) + ahead:
            house.at(house.clock.at + 10 * MINUTE)
        before = len(titles(house, "Ana"))
        house.clock.step(-ahead)
        house.tick()
        house.at(max(at(right_at), at("16:20")))
        assert titles(house, "Ana")[before:] == told


def test_what_a_clock_ahead_had_held_for_an_evening_to_come_is_taken_back_once_it_is_right(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, SMALL + ANA, at("09:00")) as house:
        house.tick()
        house.clock.step(timedelta(hours=5))
        house.tick()
        assert len(house.messages("hold")) == 1
        house.clock.step(-timedelta(hours=5))
        house.tick()
        assert len(house.messages("cancel")) == 1
        house.at(NOON + timedelta(hours=1))
        assert len(house.messages("hold")) == 2, "it is not held again in the evening"


def test_whoever_is_on_duty_hears_once_that_nothing_can_be_written(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = "Duskfold cannot write to its disk, so reminders go on from memory"
    with driven(memory_folder, SMALL + ANA + SAM, NOON) as house:
        house.tick()
        for clock in ("13:00", "14:00"):
            with monkeypatch.context() as patched:
                patched.setattr(Journal, "writing", unwritable)
                house.at(at(clock))
                house.at(at(clock) + MINUTE)
            house.at(at(clock) + 2 * MINUTE)
        assert titles(house, "Ana").count(told) == 1
        assert told not in titles(house, "Sam")


def test_a_lock_that_passes_is_told_to_nobody(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(_: Journal) -> AbstractContextManager[Writing]:
        raise JournalFault("database is locked")

    with driven(memory_folder, SMALL + ANA, NOON) as house:
        house.tick()
        with monkeypatch.context() as patched:
            patched.setattr(Journal, "writing", locked)
            house.at(at("13:00"))
        assert titles(house, "Ana") == []
