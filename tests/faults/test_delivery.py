"""A3–A11 and A14 of FAULTS.md: what push and mail servers do to us, and what is done about it.

On the house's day: heads-up 15:48:29, `now` 16:18:29, `again` 16:26, `next` 16:33:40, everybody
16:43:40, 16:58:40, 17:13:40; the push server rings by itself at 16:38 unless it is told not to.
"""

from collections.abc import Callable

import pytest

from tests.faults.house import ONE_COOP, QUIET_MORNINGS, SITE, TOPIC_SECRET, House

Build = Callable[..., House]

HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
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
    """On which topics a message lies that is to ring."""
    return sorted(topic for topic, _ in house.push.held)


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
