"""In a made language every page speaks it alone: no word stands there that has no key."""

import json
import re
from dataclasses import replace
from datetime import timedelta
from html.parser import HTMLParser
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from scheduler.climate.forecast import Measured, OfficialWarning
from scheduler.climate.weather import Reading
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.web.early_refusals import ANOTHER_NAME, TOO_MANY
from scheduler.web.views.about import libraries
from scheduler.wording.web.people import SignOut
from tests.alerts.orchard import WINTER
from tests.unhurried import unhurried
from tests.weather_decided import decided, keep_decided
from tests.wording.marked import publications, strange
from tests.wording.scenes import DAY, NAMES, PHONE_KEY, Scenes, scenes

# What somebody types is read in one language only, as the profile is.
TYPED = ("min", "cm", "Garden", "nobody", "soon", "mild", "there", "then", "none", "walnut", "barn")
DEVICES = ("iPhone", "http")
POINT = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
# Names of places are as the index has them.
PLACES = (
    *("Lambeth", "Lewes", "Stranraer", "Stranrear", "Southampton", "England", "Scotland"),
    *("Delaware", "United Kingdom", "United States"),
)
# Libraries and their licences are called what their makers call them.
LIBRARIES = tuple(text for each in libraries() for text in each)
KNOWN = (*NAMES, *TYPED, *DEVICES, *PLACES, *LIBRARIES, *publications())
READ = frozenset(
    {"title", "aria-label", "alt", "placeholder", "data-label", "data-slow", "data-kept"}
    | {"data-why", "data-all", "data-fewer", "data-more"}
)
WITHIN_A_LINE = frozenset({"a", "bdi", "del", "em", "span", "strong", "time"})
PLACE = re.compile(r"\{\w+\}")  # which the page fills by itself


class Lines(HTMLParser):
    """Every line of a page and every attribute that a person meets, each by itself."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self._line = ""
        self._is_json = False
        self._is_copied = False  # letter by letter, in every language

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in WITHIN_A_LINE:
            self.end_line()
        found = dict(attrs)
        self._is_copied = tag == "code"
        self._is_json = found.get("type") == "application/json"
        self.lines += [value or "" for name, value in attrs if name in READ]
        if found.get("type") in {"submit", "button"}:
            self.lines.append(found.get("value") or "")

    def handle_endtag(self, tag: str) -> None:
        if tag not in WITHIN_A_LINE:
            self.end_line()
        self._is_json = self._is_copied = False

    def handle_data(self, data: str) -> None:
        if self._is_json:
            self.lines += json.loads(data).values()
        elif not self._is_copied:
            self._line += data

    def end_line(self) -> None:
        """What comes now is another."""
        self.lines.append(self._line)
        self._line = ""


def foreign(page: str) -> list[str]:
    """The lines of the page with words that have no key."""
    lines = Lines()
    lines.feed(page)
    lines.end_line()
    return [line for line in lines.lines if strange(PLACE.sub(" ", line), KNOWN)]


@pytest.mark.usefixtures("_in_other_letters")
def test_a_word_without_a_key_is_found_even_within_another_text() -> None:
    said, glued = (SignOut.somebody(who=who, device="Ana") for who in ("Ben", "all of them"))
    page = f'<p title="Door">{said}</p><button aria-label="{said}">{said} Shut</button><p>{glued}'
    assert foreign(page) == ["Door", f"{said} Shut", glued]


def by_day(seen: Scenes) -> None:
    """Every page at noon, and what those are told who may not see it."""
    seen.at("12:30")
    seen.look("today at noon", "/")
    for page in (
        "week",
        "year",
        "add",
        "flock",
        "coop",
        "weather",
        "birds",
        "subscribe",
        "card",
        "status",
        "people",
    ):
        seen.look(page, f"/{page}")
    for page in ("diary", "more", "about"):
        seen.look(f"{page} of nothing yet", f"/{page}")
    seen.look("why a job", "/why/water")
    seen.look("why the lock-up", "/why/lock-up")
    seen.look("calendars with alarms", "/subscribe?alarms=1&lead=30")
    seen.look("more of a member", "/more", who="ben")
    seen.look("signed out", "/", who="")
    seen.look("status of a made-up garden", "/status", is_made_up=True)
    seen.look("no such page", "/nothing", who="")
    seen.look("not theirs", "/people", who="ben")
    seen.look("a sign-in link", seen.invitation("ben"), who="")
    seen.look("a screen's link", seen.invitation("screen:Kitchen"), who="")
    invited = seen.look("invited", "/people/invite", {"person": "ben"})
    [session, *_] = re.findall(r"/people/end\?session=\w+", invited)
    seen.look("a device to sign out", session)
    seen.look("invited nobody", "/people/invite", {"person": "nobody"})
    seen.look("the first things on a phone", "/begun")
    seen.look("one more phone", "/begun/invite", {"person": "ben"})
    seen.look("no name for a screen", "/people/screen", {"screen": "Ana"})
    seen.look("a link before its day", seen.tomorrow(), who="")
    seen.look("shut already?", "/door", seen.say("walnut", 0, "shut", 12))
    seen.look("nobody is chosen", "/door", seen.say("walnut", 0, "shut", 12), who="screen:Kitchen")


def phones(seen: Scenes) -> None:
    """A phone that is set up, tried and removed, what keeps one from it, and the push app."""
    given = {"endpoint": "https://push.apple.com/a", "p256dh": POINT, "auth": "A" * 22}
    seen.look("a page of an older key", "/phone", given)
    seen.look(
        "a push service of nobody's", "/phone", {"endpoint": "https://there", "key": PHONE_KEY}
    )
    page = seen.look("a test that did not go out", "/phone", {**given, "key": PHONE_KEY})
    [phone, *_] = re.findall(r'name="phone" value="(\w+)"', page)
    for answer in ("silent", "no", "yes"):
        seen.look(f"it rang: {answer}", "/phone/rang", {"phone": phone, "answer": answer})
    for answer in ("silent", "no", "yes"):
        sent = {"phone": phone, "answer": answer, "quiet": "1"}
        seen.look(f"it rang at night: {answer}", "/phone/rang", sent)
    seen.look("did it ring?", f"/phone?ask={phone}", is_made_up=True)
    seen.look("did it ring at night?", f"/phone?ask={phone}&quiet=1", is_made_up=True)
    seen.look("the phone of another", f"/phone?ask={phone}", who="ben")
    seen.look("people and phones", "/people")
    seen.look("a phone to remove", f"/phone/end?phone={phone}")
    seen.look("no phone any more", "/phone/end", {"phone": phone})
    seen.look("the push app", "/phone?app=ben")
    seen.look("nobody's push app", "/phone/app", {"person": "nobody"})
    seen.look("a wrong code", "/sign-in", {"link": "none"}, who="")


def changing(seen: Scenes) -> None:
    """Every section of the profile, read-only and not, and what comes of its forms."""
    seen.look("changes elsewhere", "/change")
    seen.look("take it over?", "/change/take-over")
    seen.look("changes", "/change/take-over", {})
    for section in ("birds", "house", "run", "people", "alerts", "jobs", "place", "server"):
        seen.look(f"change {section}", f"/change/{section}")
    seen.look("change weather", "/change/weather")
    seen.look("jobs by day", "/change/jobs-by-day")
    page = seen.look("change a job", "/change/jobs/water")
    [base, *_] = re.findall(r'name="base" value="(\w+)"', page)
    ask = {"base": base, "do": "look"}
    floor = {**ask, "card": "coop/walnut", "coop/walnut/floor": "none"}
    seen.look("a wrong size", "/change/house", floor)
    seen.look("a house ends?", "/change/house", {**ask, "card": "coop/barn", "ends": "1"})
    seen.look("somebody leaves?", "/change/people", {**ask, "card": "person/ben", "ends": "1"})
    moved = {**ask, "card": "flock/girls", "flock/girls/coop": "barn"}
    seen.look("a house is emptied?", "/change/birds", moved)
    address = {**ask, "card": "web", "web/base_url": "http://there"}
    seen.look("another address?", "/change/server", address)
    move = {"move/on": "2027-03-01", "move/latitude": "50.9", "move/longitude": "-1.4"}
    seen.look("moving?", "/change/place", {**ask, "card": "move", **move})
    named = {**ask, "card": "move", "move/on": "2027-03-01", "move/typed": "Lewes"}
    seen.look("which of the places?", "/change/place", named)
    seen.look("a slip in a place", "/change/place", {**named, "move/typed": "Stranrear"})
    seen.look("two places at once", "/change/place", {**named, "move/latitude": "50.9"})
    seen.look("another place?", "/change/place", {**ask, "card": "site", "site/typed": "Stranraer"})
    bedtime = {**ask, "card": "reminders", "reminders/bedtime": "22:00"}
    seen.look("another bedtime?", "/change/alerts", bedtime)
    seen.look("another bedtime", "/change/alerts", {**bedtime, "do": "keep"})
    seen.look("changed meanwhile", "/change/alerts", bedtime)
    seen.look("not there", "/change/house", {**ask, "card": "coop/none"})
    page = seen.look("changes so far", "/change/versions")
    [number, *_] = re.findall(r"number=(\d+)", page)
    seen.look("put back?", f"/change/put-back?number={number}")


def told_by_a_forecast(seen: Scenes) -> None:
    """Weather that was decided, with gusts and a warning, and what a thermometer showed."""
    made = seen.house.clock.at - timedelta(hours=13)
    warning = OfficialWarning(
        id="1", kind="frost", event="none", headline="soon", sender="nobody", onset=made,
        ends=made + 3 * DAY,
    )  # fmt: skip
    by: dict[str, Any] = {"at": made, "by": "met-norway"}
    days = []
    for of in (decided(WINTER + after * DAY) for after in range(3)):
        weather = replace(
            of.weather,
            low_c=replace(of.weather.low_c, **by),
            high_c=replace(of.weather.high_c, source="measured"),
            gust_m_s=Reading(value=9.0, source="forecast", **by),
            snow_cm=Reading(value=2.0, source="forecast", **by),
            warnings=(warning,),
        )
        days.append(replace(of, weather=weather))
    keep_decided(seen.house.journal, "orchard", days)
    seen.house.journal.keep_measured("orchard", "garden", Measured(at=made, air_c=3.4))
    for page in ("", "week", "weather"):
        seen.look(f"{page} with a forecast", f"/{page}")


def reported(seen: Scenes) -> None:
    """What the pages of reports and jobs ask, refuse, list and take back."""
    seen.look("an odd emergency", "/add", {"kind": "heat", "air": "58"})
    seen.look("an emergency", "/add", {"kind": "heat", "air": "36"})
    seen.look("a predator", "/add", {"kind": "predator", "grade": "got-at"})
    seen.look("an order", "/add", {"kind": "order", "first": "2026-12-01"})
    wrong = {"kind": "heat", "air": "mild", "first": "soon", "link": "there"}
    seen.look("a wrong report", "/add", wrong)
    seen.look("no number of degrees", "/add", {"kind": "frost", "form": "degrees", "air": "mild"})
    seen.look("a bag of feed", "/add/feed", {"do": "open"})
    seen.look("a report taken back", "/add/end", {"number": "2", "do": "undo"})
    seen.look("a report ended", "/add/end", {"number": "1", "do": "over"})
    seen.look("no such report", "/add/end", {"number": "99", "do": "end"})
    medicine = {"kind": "medicine", "coop": "walnut", "words": "Ana"}
    seen.look("a medicine", "/birds", medicine)
    seen.look("an illness", "/birds", {"kind": "illness", "coop": "barn", "sign": "blue-comb"})
    seen.look("a broody hen", "/birds", {"kind": "broody", "coop": "barn"})
    seen.look("a wrong medicine", "/birds", {"kind": "medicine", "eggs": "-3", "last": "then"})
    sold = {"kind": "flock", "what": "sold", "coop": "walnut", "day": "2026-12-20"}
    seen.look("more sold than there are", "/birds/came", {**sold, "count": "99"})
    seen.look("nothing said of who came", "/birds/came", {"kind": "flock", "count": "0"})
    seen.look("birds sold", "/birds/came", {**sold, "count": "1"})
    seen.look("no such sale", "/birds/came/undo", {"entry": "9999"})
    seen.look(
        "today with reports and a job ticked",
        "/jobs",
        {"job": "water|walnut|2026-12-21|1", "do": "done"},
    )
    seen.look("no such job", "/jobs", {"job": "none", "do": "done"})
    seen.look("week with reports", "/week")
    seen.look("coop under an order", "/coop?rules=eu")


def at_dusk(seen: Scenes) -> None:
    """An evening: due, overdue, birds missing, birds that were not found, the night."""
    seen.at("15:55")
    seen.look("today before lock-up", "/")
    seen.at("16:20")
    seen.look("an evening by its link", seen.link(), who="")
    seen.look("a screen", "/", who="screen:Kitchen")
    seen.at("16:50")
    seen.look("today overdue", "/")
    seen.look("no number", "/door", seen.say("walnut", 0, "shut"))
    seen.look("today with birds missing", "/door", seen.say("walnut", 0, "shut", 10))
    seen.look("overtaken", "/door", seen.say("walnut", 0, "shut", 11), who="ben")
    seen.look("more found than missing", "/door", seen.say("walnut", 1, "found", 7))
    seen.look("not found", "/door", seen.say("walnut", 1, "not-found", 1))
    seen.look("dead", "/door", seen.say("walnut", 2, "dead", 1))
    seen.look("not counted", "/door", seen.say("barn", 0, "not-counted"))
    seen.look("too many", "/door", seen.say("barn", 1, "shut", 9))
    seen.look("elsewhere", "/door", seen.say("barn", 2, "elsewhere", 6))
    seen.look("birds missing by a link", seen.link(), who="")
    seen.look("status in the evening", "/status")
    seen.at("23:00")
    seen.look("today at night", "/")
    diary = seen.look("diary", "/diary")
    seen.look("diary of doors", "/diary?kind=doors&house=walnut")
    [entry, *_] = re.findall(r'name="entry" value="(\d+)"', diary)
    seen.look("diary put right", "/diary/change", {"entry": entry, "do": "take-back"})


def afterwards(seen: Scenes) -> None:
    """The days after, and when nothing can be read."""
    seen.at("+10:00")
    seen.look("today the day after", "/")
    seen.look("found the day after", "/door", seen.say("walnut", 3, "found", 1))
    seen.look("an evening that is over", seen.link(), who="")
    seen.seen["another name"] = ANOTHER_NAME.page.decode()
    seen.seen["too many tries"] = TOO_MANY.page.decode()
    seen.look("no such calendar", "/calendar/none/none.ics")
    journal = seen.data / JOURNAL_NAME
    journal.rename(journal.with_suffix(".away"))
    seen.look("unavailable", "/")


@pytest.fixture(scope="module")
def pages(_in_other_letters: None) -> dict[str, str]:
    """What every page shows in the made language."""
    with TemporaryDirectory() as folder, scenes(Path(folder)) as seen:
        for part in (by_day, phones, changing, told_by_a_forecast, reported, at_dusk, afterwards):
            part(seen)
        return seen.seen


@unhurried
def test_no_page_has_a_word_without_a_key(pages: dict[str, str]) -> None:
    found = {name: lines for name, page in pages.items() if (lines := foreign(page))}
    assert found == {}


@unhurried
def test_every_scene_is_a_page_of_its_own(pages: dict[str, str]) -> None:
    alike = {page: name for name, page in pages.items()}
    assert pages.keys() - alike.values() == set()
