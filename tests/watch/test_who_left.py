"""Who remains hears once, quietly, who is told no more and who has the evenings now."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.alerts.delivery import QUIET
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import Report, Spell
from scheduler.journal import access
from scheduler.journal.access import SignedIn
from scheduler.service.doors.button import answer
from scheduler.service.health.report_health import report_health
from scheduler.service.jobs import kept_ticks
from scheduler.service.reports import report
from scheduler.tokens.answer import read_answer
from scheduler.watch.unheard_answers import Deafness
from tests.conftest import SMALL
from tests.faults.driven import DAY, MINUTE, Arrived, Driven, driven, memory_folder
from tests.journal.as_said import speaks

__all__ = ["memory_folder"]
NOON = datetime.fromisoformat("2027-01-12T12:30+00:00")
MORNING = datetime.fromisoformat("2027-01-13T07:01+00:00")


def profile(*names: str, settings: str = "") -> str:
    return SMALL + "".join(
        f'[[person]]\nname = "{name}"\npush = "https://push.example.net/{name.lower()}-8c1f9e2b7"\n'
        for name in names
    ) + settings  # fmt: skip


@pytest.fixture
def house(memory_folder: Path) -> Iterator[Driven]:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo", "Dora"), NOON - DAY) as found:
        found.at(NOON - DAY)
        found.at(NOON)
        yield found


def heard(house: Driven, text: str, minutes: int = 2) -> list[Arrived]:
    """What arrives once the profile is that."""
    since = len(house.messages())
    house.write_profile(text)
    for minute in range(1, minutes + 1):
        house.at(house.clock.at + minute * MINUTE)
    return house.messages()[since:]


def told(found: list[Arrived]) -> set[tuple[str, int, str]]:
    return {
        (one.outgoing.person_name, one.outgoing.message.priority, one.outgoing.message.title)
        for one in found
    }


def test_whoever_remains_hears_at_once_who_has_the_evenings_now(house: Driven) -> None:
    found = heard(house, profile("Ben", "Cleo"), minutes=4)
    title = "Ana and Dora are no longer reminded: now Ben is on duty"
    assert told(found) == {("Ben", QUIET, title), ("Cleo", QUIET, title)}
    assert len(found) == 2, "once"
    body = found[0].outgoing.message.body
    assert body.startswith("If Ben does not answer, Cleo is called.")


def test_the_second_had_evenings_as_well(house: Driven) -> None:
    found = heard(house, profile("Ana", "Cleo", "Dora"))
    title = "Ben is no longer reminded: now Ana, then Cleo"
    assert told(found) == {(name, QUIET, title) for name in ("Ana", "Cleo", "Dora")}


def test_it_is_plain_when_nobody_is_left_to_be_called_after_them(house: Driven) -> None:
    (found,) = heard(house, profile("Ana"))
    title, body = found.outgoing.message.title, found.outgoing.message.body
    assert title == "Ben, Cleo and Dora are no longer reminded: now only Ana is called"
    assert body.startswith(
        "If Ana does not answer, nobody else is called: give somebody else a push"
    )


def brief_of(house: Driven, at: datetime) -> str:
    since = len(house.messages())
    house.at(at)
    (brief,) = [
        one.outgoing.message.body
        for one in house.messages()[since:]
        if one.outgoing.message.title.startswith("Today")
    ]
    return brief


LINE = "Dora is no longer told when a door stays open."


def test_of_others_the_next_brief_tells_once(house: Driven) -> None:
    assert heard(house, profile("Ana", "Ben", "Cleo")) == []
    assert LINE in brief_of(house, MORNING)
    assert "no longer" not in brief_of(house, MORNING + DAY)


def test_whoever_is_back_by_then_is_not_mentioned(house: Driven) -> None:
    heard(house, profile("Ana", "Ben", "Cleo"))
    assert heard(house, profile("Ana", "Ben", "Cleo", "Dora")) == []
    assert "no longer" not in brief_of(house, MORNING)


def test_where_nobody_reads_a_brief_it_is_a_message(house: Driven) -> None:
    found = heard(house, profile("Ana", "Ben", "Cleo", settings='[reminders]\nbrief = "none"\n'))
    title = "Dora is no longer reminded: now Ana, then Ben"
    assert told(found) == {(name, QUIET, title) for name in ("Ana", "Ben", "Cleo")}


def test_a_profile_that_was_changed_while_nothing_ran_is_told_of_too(house: Driven) -> None:
    house.stop()
    house.write_profile(profile("Ben", "Cleo", "Dora"))
    since = len(house.messages())
    house.start()
    house.at(house.clock.at + MINUTE)
    title = "Ana is no longer reminded: now Ben is on duty"
    assert told(house.messages()[since:]) == {
        (name, QUIET, title) for name in ("Ben", "Cleo", "Dora")
    }


def test_another_way_or_another_order_of_the_rest_is_nobody_leaving(house: Driven) -> None:
    assert heard(house, profile("Ana", "Ben", "Dora", "Cleo")) == []
    renamed = profile("Ana", "Ben", "Dora", "Cleo").replace("dora-8c1f", "dora-9d2e")
    assert heard(house, renamed) == []


def test_where_another_stands_first_those_two_hear_whose_the_evenings_are(house: Driven) -> None:
    title = "From now on Cleo is on duty instead of Ana"
    found = heard(house, profile("Cleo", "Ben", "Ana", "Dora"), minutes=3)
    assert told(found) == {(name, QUIET, title) for name in ("Ana", "Cleo")}
    assert len(found) == 2, "once"
    assert found[0].outgoing.message.body.startswith("If Cleo does not answer, Ben is called. ")


def test_whoever_has_the_evenings_now_hears_that_buttons_do_not_work(house: Driven) -> None:
    house.running.deafness = lambda: Deafness(age_s=0.0, reason="cut off")
    house.at(NOON + MINUTE)
    moved = [
        one for one in heard(house, profile("Cleo", "Ben", "Ana", "Dora")) if "From" in str(one)
    ]
    (body,) = {one.outgoing.message.body for one in moved}
    assert body.endswith("change it back. Buttons on messages have not worked since 12:31.")


def test_in_an_evening_under_way_it_is_from_tomorrow(memory_folder: Path) -> None:
    with driven(memory_folder, profile("Ana", "Ben"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        moved = [one for one in heard(home, profile("Ben", "Ana")) if "on duty" in str(one)]
        title = "From tomorrow Ben is on duty instead of Ana"
        assert told(moved) == {(name, QUIET, title) for name in ("Ana", "Ben")}


@pytest.mark.parametrize(
    ("names", "title"),
    [
        (("Ana", "Ben", "Cleo"), "Ana stays on duty: Ben does not take over tomorrow"),
        (("Cleo", "Ana", "Ben"), "From tomorrow Cleo is on duty, not Ben"),
    ],
)
def test_whoever_was_to_have_the_evenings_never_had_them(
    memory_folder: Path, names: tuple[str, ...], title: str
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        heard(home, profile("Ben", "Ana", "Cleo"))  # from tomorrow
        moved = [one for one in heard(home, profile(*names)) if "on duty" in str(one)]
        assert told(moved) == {(name, QUIET, title) for name in (names[0], "Ben")}


@pytest.mark.parametrize(
    ("names", "title", "begins"),
    [
        (("Eve", "Ben"), "Ana is no longer reminded: from tomorrow Eve is on duty",
         "Tonight Ben is on duty. From tomorrow, if Eve does not answer, Ben is called."),
        (("Ben", "Eve"), "Ana is no longer reminded: now Ben is on duty",
         "From tomorrow, if Ben does not answer, Eve is called."),
    ],
)  # fmt: skip
def test_an_evening_that_has_begun_goes_on_without_the_new(
    memory_folder: Path, names: tuple[str, ...], title: str, begins: str
) -> None:
    with driven(memory_folder, profile("Ana", "Ben"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        left = [one for one in heard(home, profile(*names)) if "no longer" in str(one.outgoing)]
        assert told(left) == {(name, QUIET, title) for name in names}
        assert left[0].outgoing.message.body.startswith(begins)


def test_in_the_morning_the_evening_to_come_is_that_of_who_is_new(memory_folder: Path) -> None:
    with driven(memory_folder, profile("Ana", "Ben"), NOON - DAY) as home:
        home.at(NOON)
        home.at(MORNING)
        left = [one for one in heard(home, profile("Eve", "Ben")) if "no longer" in str(one)]
        assert "now Eve is on duty" in left[0].outgoing.message.title
        assert left[0].outgoing.message.body.startswith("If Eve does not answer, Ben is called. ")


def test_whoever_takes_the_evening_over_is_not_called_again_as_the_next(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        left = heard(home, profile("Ben", "Cleo"))
        (body,) = {one.outgoing.message.body for one in left if "no longer" in str(one)}
        assert body.startswith("If Ben does not answer, Cleo is called.")
        (night,) = home.evenings(NOON.date())
        since = len(home.messages())
        home.at(night.latest)
        called = home.messages()[since:]
        assert {one.outgoing.person_name for one in called if one.loud} == {"Ben", "Cleo"}


def test_whoever_comes_back_to_the_evening_that_they_had_has_it_again_and_all_hear_so(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        heard(home, profile("Ben", "Cleo"))
        back = [
            one
            for one in heard(home, profile("Ben", "Cleo", "Ana"))
            if "on duty" in one.outgoing.message.title
        ]
        title = "Tonight Ana is on duty again instead of Ben"
        assert told(back) == {(name, QUIET, title) for name in ("Ana", "Ben", "Cleo")}
        assert len(back) == 3, "once"
        body = back[0].outgoing.message.body
        begins = "If Ana does not answer, Ben is called. From tomorrow Ben is on duty. "
        assert body.startswith(begins)


@pytest.mark.parametrize(
    ("names", "title"),
    [
        (("Ben", "Cleo", "Dora"), "Ana is no longer reminded: now Ben is on duty"),
        (("Eve", "Ben", "Cleo", "Dora"),
         "Ana is no longer reminded: from tomorrow Eve is on duty"),
    ],
)  # fmt: skip
def test_whoever_has_tonight_alone_leaves_for_all_to_hear(
    memory_folder: Path, names: tuple[str, ...], title: str
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo", "Dora"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        heard(home, profile("Ben", "Cleo", "Dora", "Ana"))  # from tomorrow
        left = [one for one in heard(home, profile(*names)) if "no longer" in str(one.outgoing)]
        assert told(left) == {(name, QUIET, title) for name in names}
        assert left[0].outgoing.message.body.startswith(
            "If Ben does not answer, Cleo is called. " if names[0] == "Ben"
            else "Tonight Ben is on duty. From tomorrow, if Eve does not answer, Ben is called."
        )  # fmt: skip


def test_whoever_comes_back_where_all_others_are_new_is_followed_by_everybody(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben"), NOON) as home:
        home.at(NOON + 225 * MINUTE)
        heard(home, profile("Eve", "Finn"))
        back = [one for one in heard(home, profile("Eve", "Finn", "Ben")) if "duty" in str(one)]
        (body,) = {one.outgoing.message.body for one in back}
        assert body.startswith("If Ben does not answer, everybody is called. From tomorrow Eve ")


def test_the_second_who_comes_back_to_an_evening_is_called_again_and_all_hear_so(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)
        heard(home, profile("Ana", "Cleo"))
        back = [
            one for one in heard(home, profile("Ana", "Cleo", "Ben")) if "called again" in str(one)
        ]
        title = "Tonight Ben is called again if Ana does not answer"
        assert told(back) == {(name, QUIET, title) for name in ("Ana", "Ben", "Cleo")}


def test_whoever_comes_back_to_their_old_place_is_told_of_once(memory_folder: Path) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)
        heard(home, profile("Ben", "Cleo"))
        told_now = heard(home, profile("Ana", "Ben", "Cleo"))
        title = "From now on Ana is on duty instead of Ben"
        back = [one for one in told_now if one.outgoing.message.title == title]
        assert told(back) == {(name, QUIET, title) for name in ("Ana", "Ben", "Cleo")}
        body = back[0].outgoing.message.body
        assert "The profile was changed." in body, "nobody's order was: somebody was put back"


def test_who_is_left_alone_stands_on_the_status_as_a_note_as_long_as_it_is_so(
    house: Driven,
) -> None:
    def notes() -> tuple[str, ...]:
        health = report_health(house.running.place, house.running.household, house.clock.read())
        assert health.faults == ()
        return health.notes

    assert notes() == ()
    heard(house, profile("Ana"))
    (note,) = notes()
    assert note.startswith("Only Ana can be told. If Ana does not answer, nobody else is called.")
    heard(house, profile("Ana", "Ben"))
    assert notes() == ()


def test_whoever_is_signed_out_with_who_let_them_in_hears_so(house: Driven) -> None:
    for who, through in (("ben", ("ana",)), ("cleo", ()), ("cleo", ("ana", "ben"))):
        session = SignedIn(
            id_hash=f"{who}{len(through)}".ljust(64, "x"),
            person_id=who,
            device="phone",
            made_at=NOON,
            until=NOON + 365 * DAY,
            through=through,
        )
        with house.journal.writing() as writing:
            access.sign_in(writing.connection, "orchard", session)
    found = told(heard(house, profile("Ben", "Cleo", "Dora")))
    title = "Ben and Cleo are signed out wherever Ana let them in"
    assert {one for one in found if "signed" in one[2]} == {
        (name, QUIET, title) for name in ("Ben", "Cleo", "Dora")
    }
    with house.journal.reading() as connection:
        assert [one.person_id for one in access.sessions(connection, "orchard")] == ["cleo"]
    assert not [one for one in told(heard(house, profile("Ben", "Cleo"))) if "signed" in one[2]]


def pressed(home: Driven, text: str) -> bool:
    almanac = home.running.almanac
    given = read_answer(text, almanac.key)
    assert given is not None
    return answer(home.journal, almanac, given, home.clock.at) == "taken"


HEAT_JOB = "Heat emergency: cool water, shade, moving air"


def read_by_whoever_remains(
    folder: Path, *, ticked: str | None, worse: str | None = None, leaves: str
) -> str:
    """What Ben and Cleo read as Ana leaves, on a hot day whose job was ticked, then made worse."""
    morning = datetime.fromisoformat("2027-07-20T09:00+01:00").astimezone(UTC)

    def at(clock: str) -> datetime:
        return datetime.fromisoformat(f"2027-07-20T{clock}+01:00").astimezone(UTC)

    def hot(home: Driven, air_c: float) -> None:
        spell = Spell(first=morning.date(), last=morning.date() + DAY)
        told = Report(kind="heat", spell=spell, air_c=air_c, said_by="Cleo")
        report.make(home.journal, "orchard", told, home.clock.at)
        home.at(home.clock.at + MINUTE / 4)

    with driven(folder, profile("Ana", "Ben", "Cleo"), morning) as home:
        home.at(morning)
        hot(home, 35.0)
        for clock in sorted(filter(None, (ticked, worse))):
            home.at(at(clock))
            if clock == worse:
                hot(home, 39.0)
            else:
                key = TaskKey("heat-emergency", "walnut", morning.date())
                kept_ticks.mark(home.journal, "orchard", [key], speaks("Ana", at(clock)))
        home.at(at(leaves))
        left = [
            one.outgoing
            for one in heard(home, profile("Ben", "Cleo"))
            if one.outgoing.message.title == "Ana is no longer reminded: now Ben is on duty"
        ]
    assert {one.person_name for one in left} == {"Ben", "Cleo"}
    (body,) = {one.message.body for one in left}
    return body


@pytest.mark.parametrize(
    ("ticked", "worse", "leaves", "is_urgent"),
    [
        (None, None, "10:00", True),
        ("09:30", None, "10:00", False),
        ("09:30", "09:45", "10:00", True),  # it was asked for anew since
        ("09:50", "09:45", "10:00", False),
        ("09:30", None, "13:30", True),  # so does the walk at midday
        ("12:30", None, "13:30", False),  # ticked in the hour before, it was the walk
    ],
)
def test_whoever_has_the_evenings_now_reads_what_is_urgent_and_not_ticked_since_it_is(
    memory_folder: Path, ticked: str | None, worse: str | None, leaves: str, is_urgent: bool
) -> None:
    body = read_by_whoever_remains(memory_folder, ticked=ticked, worse=worse, leaves=leaves)
    assert body.endswith(f" Urgent today: {HEAT_JOB}.") == is_urgent
    assert ("Urgent" in body) == is_urgent


def test_whoever_was_put_back_in_the_evening_gets_words_whose_buttons_count(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(home.evenings(NOON.date())[0].lock_up)
        [now] = [one.outgoing for one in home.messages()[-1:]]
        assert (now.person_name, bool(now.message.buttons)) == ("Ana", True)
        heard(home, profile("Ben", "Cleo"))
        back = heard(home, profile("Ana", "Ben", "Cleo"))
        again = [one.outgoing for one in back if one.outgoing.message.buttons]
        [renewed] = [one for one in again if one.person_name == "Ana"]
        assert renewed.message.title.startswith("Lock up now: Walnut")
        # The old one says nothing, and Ana reads why.
        assert not pressed(home, now.message.buttons[0].answer)
        home.at(home.clock.at + MINUTE / 4)
        told = home.messages()[-1].outgoing
        assert (told.person_name, told.message.title[:40]) == (
            "Ana",
            "Nothing changed: that button is too old.",
        )
        assert pressed(home, renewed.message.buttons[0].answer)
        since = len(home.messages())
        home.at(home.clock.at + 30 * MINUTE)
        assert not [one for one in home.messages()[since:] if one.loud]


def test_whoever_is_put_back_on_duty_gets_the_words_of_the_hour_not_their_own_last(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, profile("Ana", "Ben", "Cleo"), NOON) as home:
        home.at(NOON + 225 * MINUTE)  # the first reminder has gone out
        heard(home, profile("Ben", "Cleo"))
        latest = home.evenings(NOON.date())[0].latest
        home.at(latest + 11 * MINUTE)  # Ben was called twice, then everybody
        back = heard(home, profile("Ana", "Ben", "Cleo"))
        [again] = [one.outgoing for one in back if one.outgoing.message.buttons]
        assert (again.person_name, again.message.priority) == ("Ana", 5)
        assert again.message.title.startswith("Is the door shut? Walnut")


def test_whoever_is_put_back_in_the_search_reads_how_many_are_missing_by_now(
    memory_folder: Path,
) -> None:
    web = '[web]\nbase_url = "http://127.0.0.1:8733"\n'
    all_three = profile("Ana", "Ben", "Cleo", settings=web)
    with driven(memory_folder, all_three, NOON) as home:
        night = home.evenings(NOON.date())[0]
        home.at(night.lock_up)
        home.say("closed", "Ben", count=11)
        home.at(home.clock.at + MINUTE / 4)
        heard(home, profile("Ben", "Cleo", settings=web))
        home.say("closed", "Ben", count=10)
        home.at(home.clock.at + MINUTE / 4)
        back = heard(home, all_three)
        [again] = [
            one.outgoing.message
            for one in back
            if one.outgoing.person_name == "Ana" and "missing" in one.outgoing.message.title
        ]
        assert "2 of 12 missing: Walnut. Search now" in again.title


SITTER = 'role = "sitter"\nfirst_day = 2027-01-12\nlast_day = 2027-01-13\n'


def test_a_sitter_is_called_from_the_first_day_to_the_last_and_nobody_is_told_that_they_left(
    memory_folder: Path,
) -> None:
    kim = profile("Kim") + SITTER
    people = profile("Ana").removeprefix(SMALL)
    called: dict[int, str] = {}
    with driven(memory_folder, kim + people, NOON - DAY) as house:
        for number in range(-1, 3):
            since = len(house.messages())
            for minutes in (0, *range(210, 300, 10)):
                house.at(NOON + number * DAY + minutes * MINUTE)
            new = house.messages()[since:]
            assert not [one for one in new if "no longer" in one.outgoing.message.title]
            first = next(one for one in new if one.outgoing.message.title.startswith("Lock up"))
            called[number] = first.outgoing.person_name
            names = {one.outgoing.person_name for one in new}
            assert ("Kim" in names) == (called[number] == "Kim")
    assert called == {-1: "Ana", 0: "Kim", 1: "Kim", 2: "Ana"}


# Where days of the week have people of their own; NOON is on a Tuesday.

WEEK = '[duty]\ntuesday = "Ben"\nthursday = "Dora"\n'
ALL = ("Ana", "Ben", "Cleo", "Dora")


@pytest.fixture
def weekly(memory_folder: Path) -> Iterator[Driven]:
    with driven(memory_folder, profile(*ALL, settings=WEEK), NOON - DAY) as found:
        found.at(NOON - DAY)
        found.at(NOON)
        yield found


def test_that_the_week_goes_on_is_no_news(weekly: Driven) -> None:
    since = len(weekly.messages())
    for number in range(1, 8):
        weekly.at(NOON + number * DAY)
    assert not [one for one in weekly.messages()[since:] if "on duty" in str(one)]
    assert not [one for one in weekly.messages()[since:] if "usually" in str(one)]


def test_all_whose_days_change_hear_whose_the_days_are(weekly: Driven) -> None:
    found = heard(weekly, profile(*ALL, settings=WEEK.replace("Dora", "Cleo")), minutes=3)
    title = "Who usually locks up has changed"
    assert told(found) == {(name, QUIET, title) for name in ("Cleo", "Dora")}
    assert len(found) == 2, "once"
    assert found[0].outgoing.message.body == (
        "Tonight Ben is on duty. If Ben does not answer, Ana is called. "
        "Ben usually locks up on Tuesday. "
        "Ana usually locks up on Wednesday, Friday, Saturday, Sunday and Monday. "
        "Cleo usually locks up on Thursday. "
        "The profile was changed. If that was not intended, change it back."
    )


@pytest.mark.parametrize(("before", "after"), [("", WEEK), (WEEK, "")])
def test_a_week_that_comes_or_goes_is_told_too(
    memory_folder: Path, before: str, after: str
) -> None:
    with driven(memory_folder, profile(*ALL, settings=before), NOON - DAY) as home:
        home.at(NOON - DAY)
        home.at(NOON)
        found = heard(home, profile(*ALL, settings=after), minutes=3)
        assert {who for who, _, _ in told(found)} == {"Ana", "Ben", "Dora"}
        assert len(found) == 3, "once"


def test_whoever_had_a_day_and_is_told_no_more_had_evenings(weekly: Driven) -> None:
    others = ("Ana", "Ben", "Cleo")
    found = heard(weekly, profile(*others, settings='[duty]\ntuesday = "Ben"\n'))
    title = "Dora is no longer reminded: tonight Ben is on duty"
    assert told(found) == {(name, QUIET, title) for name in others}
    body = found[0].outgoing.message.body
    assert body.startswith("If Ben does not answer, Ana is called. Ben usually locks up on Tues")


def test_in_an_evening_under_way_tonight_stays_whose_it_is(weekly: Driven) -> None:
    weekly.at(NOON + 225 * MINUTE)  # the first reminder has gone out
    found = heard(weekly, profile(*ALL, settings=WEEK.replace('"Ben"', '"Cleo"')))
    moved = [one for one in found if "usually" in one.outgoing.message.title]
    assert {who for who, _, _ in told(moved)} == {"Ben", "Cleo"}
    body = moved[0].outgoing.message.body
    assert body.startswith("Tonight Ben is on duty.")
    assert "Cleo usually locks up on Tuesday." in body


def test_whoever_has_that_day_gets_the_brief_and_the_reminders(weekly: Driven) -> None:
    since = len(weekly.messages())
    thursday = MORNING + DAY
    weekly.at(thursday)
    weekly.at(thursday + 555 * MINUTE)  # the first reminder has gone out
    found = [
        (one.outgoing.person_name, one.outgoing.message.title.split(maxsplit=1)[0])
        for one in weekly.messages()[since:]
        if one.outgoing.message.title.startswith(("Today", "Lock up"))
    ]
    assert found == [("Dora", "Today:"), ("Dora", "Lock")]
