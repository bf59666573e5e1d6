"""A3–A11 and A14 of FAULTS.md: what push and mail servers do to us, and what is done about it.

On the house's day: heads-up 15:48:29, `now` 16:18:29, `again` 16:26, `next` 16:33:40, everybody
16:43:40, 16:58:40, 17:13:40; the push server rings by itself at 16:38 unless it is told not to.
"""

import time
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import icalendar
import pytest

from scheduler.alerts.outcome import MOST_COPIES
from scheduler.cares.records import NO_RECORDS
from scheduler.channels.budget import BURST
from scheduler.channels.deadline import Limits
from scheduler.channels.push import PushChannel
from scheduler.service.calendars.backup_files import backup_file_of, hand_out
from scheduler.service.data_place import DataPlace
from scheduler.service.health.report_health import report_health
from scheduler.watch.take_back_held import TakenBack, take_back
from tests.faults.house import ONE_COOP, QUIET_MORNINGS, SITE, TOPIC_SECRET, WINTER, House
from tests.sinks.push import PushSink, Reply
from tests.sinks.raw import RawSink, silence
from tests.sinks.smtp import CUT, Mail
from tests.unhurried import unhurried
from tests.web.front import front

Build = Callable[..., House]

HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
BARN = """
[[coop]]
name = "Barn"
[[flock]]
name = "Others"
coop = "barn"
hens = 8
"""
WALNUT = ONE_COOP.replace('name = "Girls"', 'name = "Girls"\ncoop = "walnut"')
MAIL = """
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""


def person(name: str, ways: str = "push", topic: str | None = None) -> str:
    """A person as a profile has them."""
    found = f'[[person]]\nname = "{name}"\n'
    if "push" in ways:
        found += f'push = "{{push}}/{topic or name.lower()}-{{secret}}"\n'
    if "mail" in ways:
        found += f'mail = "{name.lower()}@example.org"\n'
    return found


def body(*people: str, coops: str = WALNUT) -> str:
    """A profile of these people."""
    return SITE + coops + QUIET_MORNINGS + "".join(people) + MAIL


def begun(build: Build, *people: str, **settings: object) -> House:
    """A house that has done what there is to do at noon."""
    house = build(body=body(*people), period_s=0.05, **settings)
    house.start()
    house.settle()
    return house


def change(house: House, text: str) -> None:
    """Another profile, followed by the watch."""
    before = house.pulse
    assert before
    house.write_profile(text)
    house.wait(
        lambda: house.pulse and house.pulse.profile_number > before.profile_number, "not followed"
    )
    house.settle()


def lying(house: House) -> list[str]:
    """On which topics a message lies that is to ring; its repeat counts where it lies alone."""
    held = house.push.held
    return sorted(
        topic
        for topic, one in held
        if (topic, one.removesuffix("-again")) not in held or not one.endswith("-again")
    )


def rung(house: House) -> list[str]:
    """What the push server rang by itself by 17:30."""
    return [one.topic for one in house.push.ring_due(house.local("17:30"))]


def topics(*names: str) -> list[str]:
    return [f"{name}-{TOPIC_SECRET}" for name in names]


# -- A3: a held message is known by where it lies ------------------------------------------------

ANA, KIM = person("Ana"), person("Kim", "push mail")


@pytest.mark.parametrize(
    ("changed", "then"),
    [
        pytest.param(body(person("Ana", topic="new"), KIM), ["kim", "new"], id="topic"),
        pytest.param(body(KIM), ["kim"], id="person-gone"),
        pytest.param(body(person("Ana", "mail"), KIM), ["kim"], id="by-mail-now"),
        pytest.param(body(person("Ana", "mail"), person("Kim", "mail")), [], id="nobody-by-push"),
        pytest.param(body(ANA, KIM, coops=WALNUT + BARN), ["ana", "kim"], id="house-added"),
    ],
)
@pytest.mark.parametrize("clock", ["12:40", "15:55"])
@unhurried
def test_a3_what_is_held_follows_topics_people_and_houses(
    build: Build, changed: str, then: list[str], clock: str
) -> None:
    house = begun(build, ANA, KIM)
    assert lying(house) == topics("ana", "kim")
    house.at(clock)
    change(house, changed)
    assert sorted(set(lying(house))) == topics(*then), "it lies where it should not, or does not"
    house.at("16:19")
    house.say(count=12, coop="walnut")
    if "Barn" in changed:
        house.say(count=8, coop="barn")
    house.settle()
    assert lying(house) == []
    assert rung(house) == [], "rung although shut"


def test_a3_a_house_that_goes_takes_its_held_message_along(build: Build) -> None:
    house = build(body=body(ANA, KIM, coops=WALNUT + BARN), period_s=0.05)
    house.start()
    house.settle()
    assert lying(house) == topics("ana", "kim")
    change(house, body(ANA, KIM))  # the doors' message was known by the barn
    assert lying(house) == topics("ana", "kim")
    house.at("16:19")
    house.say(count=12)
    house.settle()
    assert rung(house) == []


def test_a3_a_topic_that_changes_after_the_heads_up(build: Build) -> None:
    house = begun(build, ANA, KIM)
    house.at("15:49")
    change(house, body(person("Ana", topic="new"), KIM))
    house.at("16:19")
    assert [one.said["title"] for one in house.push.shown(f"new-{TOPIC_SECRET}")] == [NOW]
    assert lying(house) == topics("kim", "new")
    house.kill()
    house.start()
    house.say(count=12)
    house.settle()
    assert rung(house) == []


# -- A4: an outcome belongs to the address -------------------------------------------------------


@pytest.mark.parametrize("status", [401, 403, 404])
@unhurried
def test_a4_one_topic_is_refused_and_the_next_person_hears_at_once(
    build: Build, status: int
) -> None:
    house = begun(build, ANA, person("Kim"), person("Lea", "mail"))
    house.push.refused[topics("ana")[0]] = status
    house.at("15:49")
    house.settle()
    no_ana = "Reminders by push are not reaching Ana"
    assert sorted(house.phone("kim")) == [HEADS_UP, no_ana]
    assert [_title(mail) for mail in house.mails("lea@example.org")] == [no_ana]
    house.at("16:19")
    house.settle()
    assert sorted(house.phone("kim")) == [HEADS_UP, NOW, no_ana]
    faults = report_health(DataPlace(house.data), house.household(), house.readings).faults
    assert any(one.startswith("Ana cannot be told (push: ") for one in faults), faults
    house.push.refused.clear()
    house.at("16:27")
    assert house.phone("ana") == [AGAIN], "a refused topic is not given up for the night"


def test_a4_a_token_that_the_whole_server_refuses_leaves_mail(build: Build) -> None:
    house = begun(build, ANA, person("Kim"), person("Lea", "mail"))
    house.push.script(Reply(status=401), always=True)
    house.at("16:19")
    house.settle()
    titles = [_title(mail) for mail in house.mails("lea@example.org")]
    assert NOW in titles, "who is next refuses as well, and it was not passed on"


@unhurried
def test_a4_one_of_two_servers_is_somewhere_else(build: Build) -> None:
    with PushSink() as other:
        far = person("Ana").replace("{push}", other.url)
        house = begun(build, far, person("Kim"), person("Max"))
        other.script(Reply(status=301), always=True)
        house.at("16:19")
        house.settle()
        assert sorted(house.phone("kim")) == [NOW, "Reminders by push are not reaching Ana"]
        assert house.phone("max") == ["Reminders by push are not reaching Ana"]
        house.stop()


# -- A8: no storm of copies ----------------------------------------------------------------------


@unhurried
def test_a8_a_mail_server_that_takes_each_mail_and_drops_the_line(build: Build) -> None:
    house = begun(build, person("Ana", "mail"))
    house.smtp.script("DATA", CUT, always=True)
    house.at("16:19")
    for _ in range(40):
        house.set_clock(house.now + timedelta(minutes=7))
        house.settle()
    copies = Counter(mail.message_id for mail in house.smtp.mails.all())
    assert max(copies.values()) <= MOST_COPIES
    steps = {row[0] for row in house.rows("SELECT step FROM delivery WHERE attempts > 0")}
    assert {"now", "next", "everybody-1", "hourly-1"} <= steps, "the steps go on"
    assert len(house.smtp.mails.all()) <= MOST_COPIES * len(steps)


# -- A9: each server for itself ------------------------------------------------------------------


def test_a9_five_people_on_a_hung_server_do_not_delay_the_sixth(build: Build) -> None:
    with RawSink(silence) as hung:
        others = [
            person(f"P{number}").replace("{push}", f"http://127.0.0.1:{hung.port}")
            for number in range(5)
        ]
        house = build(body=body(*others, person("Kim")), period_s=0.05)
        house.start(ready=False)
        house.wait(lambda: house.pulse, "no tick")
        house.push.wait_streams()
        house.set_clock(house.local("16:44"))
        began = time.monotonic()
        house.push.wait_shown(topics("kim")[0])
        assert time.monotonic() - began < house.limits["reply_s"], "waited for the hung server"
        house.kill()


# -- A6, A10: dead ears --------------------------------------------------------------------------

WEB = '[web]\nbase_url = "https://hens.example.net"\n'
BUTTONS = "Buttons on messages have not worked since 12:"
AGAIN_HEARD = "Buttons on messages work again"


def _returns(house: House) -> str:
    """The topic that answers come back on."""
    paths = [one.path for one in house.push.asked.all() if one.method == "GET"]
    return paths[-1].split("/")[1]


def _wordless(house: House) -> None:
    house.push.wordless = house.push.mute = True


def _mute(house: House) -> None:
    house.push.mute = True


def _refuse(house: House) -> None:
    house.push.refused[_returns(house)] = 403


@pytest.mark.parametrize("harm", [_wordless, _mute, _refuse])
@unhurried
def test_a6_dead_ears_are_told_of_and_the_page_is_named(
    build: Build, harm: Callable[[House], None]
) -> None:
    house = build(body=body(ANA, KIM) + WEB, period_s=0.05, deaf_after_s=1.0)
    house.start()
    harm(house)
    house.push.drop_streams()
    deaf = "Answers from phones have not arrived since 2026-12-21 12:"
    house.wait(lambda: deaf in " ".join(house.faults), "deaf ears look healthy")
    [message] = house.push.wait_shown(topics("ana")[0])
    assert message.said["title"].startswith(BUTTONS)
    assert message.said["click"] == "https://hens.example.net"
    assert message.said["message"].startswith("Answer on the page: this link opens it.")
    for _ in range(20):  # a line that is opened again and again is none
        house.settle()
        assert house.faults
    house.push.wordless = house.push.mute = False
    house.push.refused.clear()
    house.push.drop_streams()
    house.wait(lambda: not house.faults, "health is still bad")
    _, again = house.push.wait_shown(topics("ana")[0], 2)
    assert again.said["title"] == AGAIN_HEARD
    assert house.phone("kim") == []


@unhurried
def test_a6_the_brief_says_that_buttons_do_not_work(build: Build) -> None:
    text = body(ANA, KIM).replace('brief = "none"', 'brief = "07:00"')
    house = build(body=text, period_s=0.05, deaf_after_s=1.0)
    house.start()
    house.push.mute = True
    house.push.drop_streams()
    house.push.wait_shown(topics("ana")[0])
    house.at("16:00")
    house.say(count=12)
    house.at("07:01", WINTER + timedelta(days=1))
    brief = house.phone_events("ana")[-1]
    assert BUTTONS in brief.text


@unhurried
def test_a10_whatever_ended_the_ears_they_are_begun_again(build: Build, tmp_path: Path) -> None:
    harm = tmp_path / "harm"
    house = build(
        body=body(ANA, KIM),
        period_s=0.05,
        deaf_after_s=1.0,
        root="tests.faults.broken_root",
        environment={"HARM": "ears", "HARM_ARGUMENT": str(harm)},
    )
    house.start()
    house.at("16:19")
    harm.touch()
    house.push.drop_streams()
    deaf = "Answers from phones have not arrived since 2026-12-21 16:"
    house.wait(lambda: deaf in " ".join(house.faults), "deaf ears look healthy")
    harm.unlink()
    house.wait(lambda: not house.faults, "not listening again")
    house.push.press(house.phone_events("ana")[0])
    house.wait(lambda: not lying(house), "the answer was not heard")


# -- A11: said at the terminal while the watch is dead -------------------------------------------


def _from_the_terminal(house: House) -> TakenBack:
    limits = Limits(total_s=2.0, connect_s=2.0, reply_s=2.0)
    now = house.now
    channel = PushChannel({}, "answers", lambda: now, limits=limits)
    with house.journal() as journal:
        return take_back(journal, "orchard", channel, lambda: now, wait_s=3.0)


@unhurried
def test_a11_what_is_held_is_taken_back_without_the_watch(build: Build) -> None:
    house = begun(build, ANA, KIM)
    house.at("16:19")
    house.kill()
    house.say(count=12)
    assert sorted(_from_the_terminal(house).gone) == ["ana", "kim"]
    assert lying(house) == []
    assert _from_the_terminal(house) == TakenBack()
    house.start()
    house.settle()
    assert rung(house) == []


@unhurried
def test_a11_a_tap_on_the_pages_takes_it_back_while_the_watch_is_dead(build: Build) -> None:
    house = begun(build, ANA, KIM)
    with front(house, published=False) as pages:
        house.at("16:19")
        assert len(lying(house)) == 2
        house.kill()
        house.set_clock(house.local("16:25"))  # long enough for the last tick to be old
        tapped = {"coop": "walnut", "day": WINTER.isoformat(), "turn": "0", "count": "12"}
        assert pages.post("/door", {**tapped, "do": "shut"}, who="ana").status == 303
        house.wait(lambda: lying(house) == [], "it was not taken back")


def test_a11_what_cannot_be_taken_back_is_left_to_the_watch_and_said(build: Build) -> None:
    house = begun(build, ANA, KIM)
    house.at("16:19")
    house.kill()
    house.push.script(Reply(status=503), always=True)
    house.say(count=12)
    told = _from_the_terminal(house)
    assert [(who, f"{at:%H:%M}") for who, at in told.rings] == [("ana", "16:38"), ("kim", "16:38")]
    assert told.gone == ()
    house.push.heal()
    house.start()
    house.set_clock(house.now + timedelta(seconds=31))
    house.settle()
    assert rung(house) == [], "the watch did not take it back either"


# -- A14: what a push server takes ---------------------------------------------------------------

ONCE_MORE = "IS THE DOOR SHUT? Walnut, 12 hens, due 16:33"
TWELVE = [person(f"P{number}") for number in range(12)]


@unhurried
def test_a14_twelve_people_and_one_tap_stay_within_the_budget(build: Build) -> None:
    house = begun(build, *TWELVE)
    for clock in ("16:19", "16:44", "16:58", "16:59"):
        house.at(clock)
    assert {tuple(house.phone(f"p{number}"))[-1] for number in range(2, 12)} == {ONCE_MORE}
    house.at("17:05")  # what a server by default gives back meanwhile
    house.push.left = BURST
    asked, held = len(house.push.asked.all()), lying(house)
    assert held == sorted(topics(*(f"p{number}" for number in range(12))))
    house.say(count=12, who="P0")
    house.settle()
    after = house.push.asked.all()[asked:]
    assert [one.method for one in after][:11] == ["POST"] * 11, "the all-clear goes first"
    assert "DELETE" not in [one.method for one in after if b"shut the door" in one.body]
    assert house.push.left is not None
    assert house.push.left >= 0, "the server was asked more than it takes"
    for _ in range(8):
        house.push.left += 12
        house.set_clock(house.now + timedelta(minutes=1))
        house.settle()
        assert house.push.left >= 0
    assert lying(house) == []
    assert rung(house) == []
    for number in range(12):
        titles = [str(one.said["title"]) for one in house.push.screen(topics(f"p{number}")[0])]
        assert not [title for title in titles if "shut the door" not in title]


def test_a14_a_hold_that_the_server_goes_on_holding_is_taken_back_again(build: Build) -> None:
    house = begun(build, ANA, KIM)
    house.at("16:19")
    house.push.keeps = True
    house.say(count=12)
    house.settle()
    assert lying(house) == topics("ana", "kim")
    house.push.keeps = False
    house.set_clock(house.now + timedelta(seconds=31))
    house.settle()
    assert lying(house) == [], "its 200 was taken for a proof"


def _title(mail: Mail) -> str:
    return str(mail.parsed.get_content()).splitlines()[0]


# -- A15: the machine stops, and the router with it ----------------------------------------------


def test_a15_the_machine_stops_at_three_and_what_lies_elsewhere_rings(build: Build) -> None:
    house = begun(build, ANA, KIM, person("Pat", "mail"), person("Sam", "mail"))
    house.at("15:00")
    household = house.household()
    file = backup_file_of(household, NO_RECORDS, (), house.now)
    assert file
    with house.journal() as journal:
        hand_out(journal, "orchard", "pat", file)
    health = report_health(house.place, household, house.readings)
    assert health.stopped
    assert {one.person_id: one.owner for one in health.stopped.alarms} == {
        "ana": "held", "kim": "held", "pat": "file", "sam": None,
    }  # fmt: skip
    assert health.faults == (), "they can be relied on"
    assert [note for note in health.notes if "stopped" in note] == [
        "If this machine stopped now, nothing would ring Sam tonight."
    ]
    house.kill()
    house.set_clock(house.local("16:37"))
    assert house.push.ring_due(house.now) == []
    house.set_clock(house.local("16:38"))
    rung_first = house.push.ring_due(house.now)
    assert sorted(one.topic for one in rung_first) == topics("ana", "kim")
    starts = [one.start for one in icalendar.Calendar.from_ical(file.content).events]
    assert starts[0] == house.local("16:38"), "Pat's phone rings by itself"
    house.set_clock(house.local("16:58"))
    again = house.push.ring_due(house.now)
    assert sorted(one.topic for one in again) == topics("ana", "kim")
    house.set_clock(house.local("23:59"))
    assert house.push.ring_due(house.now) == [], "twice is all"
    # Kim has pressed the button; the push server keeps that until the machine is back.
    [mine] = [one for one in again if one.topic == topics("kim")[0]]
    assert house.push.press(mine) == 200
    house.start()
    house.wait(lambda: house.rows("SELECT kind FROM closing") == [("closed",)], "it was not heard")
    house.settle()
    assert lying(house) == []
    assert house.phone("ana")[-1].startswith("Kim shut the door")
