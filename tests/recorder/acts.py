"""What people do at an evening: press a button, tap a form, edit the profile, look round."""

import json
import re
from html import unescape
from random import Random
from urllib.parse import urlsplit

from tests.recorder.life import Life

_PLAIN = (
    ["today"], ["week"], ["light"], ["year"], ["jobs"], ["jobs", "ticked"], ["check"], ["figures"],
    ["check", "--rules", "eu"], ["figures", "--month", "7"], ["health"], ["links"], ["weather"],
    ["links", "--alarms"], ["birds"], ["why", "lock-up"], ["why", "let-out"], ["why", "range"],
    ["why", "mite-look"],
)  # fmt: skip
SCREENS = tuple(words for plain in _PLAIN for words in (plain, [*plain, "--json"]))
PAGES = (
    "/", "/week", "/year", "/add", "/flock", "/coop", "/weather", "/birds", "/subscribe", "/status",
    "/people", "/card", "/more", "/about", "/diary", "/diary.csv", "/why/lock-up", "/why/mite-look",
    "/status/clock", "/change", "/no-such-page",
)  # fmt: skip
WRITES_FILES_EVERY = 25  # times of looking round
ANOTHER = """
[[person]]
id = "sam"
name = "Sam"
push = "{push}/sam-q7w2e4r6t8"
"""


def press(life: Life, draw: Random, *, old: bool = False) -> None:
    """Somebody presses a button under a message that answers: the newest, or one of a while ago."""
    with_buttons = [
        (event, buttons)
        for event in life.push.events.all()[-30:]
        if (buttons := [one for one in event.said.get("actions", ()) if one["action"] == "http"])
    ]
    if with_buttons:
        event, buttons = with_buttons[0 if old else -1]
        said = draw.choice(buttons)["body"]
        life.recording.add(life.clock.at, "press", event.topic, said)
        life.program.hear(life.push.url, event.id, said)


def tap(life: Life, path: str = "/", action: str = "/door", *, signed_in: bool = True) -> None:
    """Somebody presses the first button of that form on that page, with what the form holds.

    Of several forms the first that shuts one door, else the one that finds the most birds: pages of
    an older version have them in another order, and are to be answered alike.
    """
    [(_, page)] = life.visit((path, None), signed_in=signed_in)
    every = re.findall(rf'<form[^>]*action="{re.escape(action)}".*?</form>', page, re.DOTALL)
    if told := [fields for form in every if (fields := _fields(form)).get("do") != "all-shut"]:
        found = [fields for fields in told if fields.get("do") == "found"]
        first = next((fields for fields in told if fields.get("do") == "shut"), told[0])
        if first.get("do") == "found":
            first = max(found, key=lambda fields: int(fields.get("count") or 0))
        sent = {name: unescape(value) for name, value in first.items()}
        life.visit((action, sent), (path, None), signed_in=signed_in)


def _fields(form: str) -> dict[str, str]:
    """What a form holds as it stands, and its first button."""
    fields = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', form))
    return fields | dict(re.findall(r'<button[^>]*name="([^"]+)" value="([^"]*)"', form)[:1])


def tap_by_link(life: Life) -> None:
    """Somebody who is not signed in opens the newest evening's link and answers there."""
    for link in life.links[-1:]:
        tap(life, link, link, signed_in=False)


def untick(life: Life) -> None:
    """Somebody takes back what was ticked last."""
    for one in json.loads(life.say("jobs", "ticked", "--json"))["ticked"][:1]:
        life.say("jobs", "undo", one["id"])


def edit(life: Life, draw: Random) -> None:
    """The keeper changes the profile: a bird, a person, their topic, a name, the heads-up."""
    another = ANOTHER.format(push=life.push.url)
    match draw.randrange(5):
        case 0:
            one_more = r"^hens = (\d+)"
            life.text = re.sub(
                one_more, lambda m: f"hens = {int(m[1]) + 1}", life.text, flags=re.MULTILINE
            )
        case 1 if another in life.text:
            life.text = life.text.replace(another, "")
        case 2:
            [name, *_] = re.findall(r'\[\[coop\]\]\nname = "(.+?)"', life.text)
            other = name.removesuffix(" II") if name.endswith(" II") else f"{name} II"
            named = rf'^(name|coop) = "{name}"'  # a flock may call its house by name
            life.text = re.sub(named, rf'\1 = "{other}"', life.text, flags=re.MULTILINE)
        case 3:
            minutes = draw.choice((20, 45))
            heads_up = f'[reminders]\nheads_up = "{minutes} min"'
            given = re.compile(r"\[reminders\]\n(?:(?!heads_up)[^\[].*\n)*heads_up = .*")
            if given.search(life.text):
                life.text = given.sub(heads_up, life.text)
            else:
                life.text += f"\n{heads_up}\n"
        case _ if "/sam-" in life.text:
            life.text = life.text.replace("/sam-", "/samuel-")
        case _ if "/samuel-" in life.text:
            life.text = life.text.replace("/samuel-", "/sam-")
        case _:
            life.text += another
    life.write(life.text)


def look_round(life: Life, draw: Random) -> None:
    """Somebody looks at the next screen and the next pages, a link of a message, two calendars."""
    number = next(life.looks)
    life.say(*SCREENS[number % len(SCREENS)])
    if number % WRITES_FILES_EVERY == 0:
        life.write_calendars()
    which = draw.choice(([], ["--alarms"]))
    links = json.loads(life.say("links", *which, "--json"))["links"]
    feeds = [urlsplit(one["url"]).path for one in links]
    pages = [PAGES[(2 * number + n) % len(PAGES)] for n in range(2)]
    life.visit(*((path, None) for path in (*pages, *draw.sample(feeds, min(2, len(feeds))))))
    today = str(life.clock.at.date())
    to_come = [link for link in life.day_links if link.split("/")[2] >= today]
    evenings = [*life.links[-1:], *to_come[:1]]
    strange = draw.choice(([], ["/"], [f"{link}x" for link in evenings]))
    life.visit(*((path, None) for path in (*evenings, *strange)), signed_in=False)
