"""A household's pages in this process, on a clock that a test moves: what each shows, by a name."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path

from scheduler.machine.signing_key import signing_key
from scheduler.service.data_place import DataPlace
from scheduler.service.people.access import invite, sign_in
from scheduler.tokens.evening_link import DayLink, EveningLink
from scheduler.web.app import App, Outside
from scheduler.web.household_now import Lookout
from tests.alerts.orchard import SITE, WINTER, at
from tests.faults.driven import Driven, driven
from tests.recorder.serving import answer, looped

PROFILE = (
    SITE
    + """
[[coop]]
name = "Walnut"
floor = "2 m x 3 m"
ranging = "all day"
[coop.run]
floor = "4 m x 5 m"
[[coop.vent]]
size = "10 cm x 60 cm"
place = "high"
height = "1.7 m"
steps = 3
[[coop]]
name = "Barn"
door = "automatic"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
[[flock]]
name = "Bantams"
coop = "barn"
hens = 6
[[person]]
name = "Ana"
push = "https://push.example.org/ana"
[[person]]
name = "Ben"
push = "https://push.example.org/ben"
role = "member"
"""
)
NAMES = ("Orchard", "Walnut", "Barn", "Girls", "Bantams", "Ana", "Ben", "Kitchen", "Duskfold")
PHONE_KEY = "B" * 87  # of no pair: nothing is sent
Form = dict[str, str]
DAY = timedelta(days=1)
_SEE_OTHER = 303
_PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_0 like Mac OS X)"


@dataclass
class Scenes:
    """The household, and every page that was looked at."""

    house: Driven
    app: App
    made_up: App
    data: Path
    key: bytes
    seen: dict[str, str] = field(default_factory=dict)
    _cookies: dict[str, str] = field(default_factory=dict)

    def at(self, clock: str) -> None:
        """Time passes until then, with one look of the reminders; "+" is the day after."""
        self.house.at(at(clock))

    def look(
        self,
        called: str,
        path: str,
        form: Form | None = None,
        who: str = "ana",
        *,
        is_made_up: bool = False,
    ) -> str:
        """Looks at the page, or sends the form and looks at what it leads to."""
        cookie = self.cookie(who) if who else ""
        app = self.made_up if is_made_up else self.app
        page = looped(self._ask(app, path, form, cookie))
        self.seen[called] = page
        return page

    async def _ask(self, app: App, path: str, form: Form | None, cookie: str) -> str:
        status, headers, body = await answer(app, path, form, cookie)
        if status == _SEE_OTHER:
            there = headers["location"].partition("#")[0]
            status, headers, body = await answer(app, there, None, cookie)
        return body.decode()

    def say(self, coop: str, turn: int, do: str, count: int | None = None) -> Form:
        """The form of that coop's card this evening."""
        typed = {} if count is None else {"count": str(count)}
        key = {"coop": coop, "day": str(WINTER), "turn": str(turn), "card": f"{coop}-{WINTER}"}
        return {**key, "do": do, **typed}

    def cookie(self, who: str) -> str:
        """The session of that person or screen, signed in on the way where they are not yet."""
        if who not in self._cookies:
            secret, now = self.invitation(who).rpartition("/")[2], self.house.clock.at
            value = sign_in(self.house.journal, "orchard", secret, _PHONE, now)
            self._cookies[who] = f"duskfold={value}"
        return self._cookies[who]

    def invitation(self, who: str) -> str:
        """The path of a fresh sign-in link."""
        return invite(self.house.journal, "orchard", who, self.house.clock.at)

    def link(self, who: str = "ben") -> str:
        """The path behind that person's message of the evening."""
        link = EveningLink(site_id="orchard", day=WINTER, subject_id="barn", person_id=who)
        return link.path(self.key)

    def tomorrow(self, who: str = "ben") -> str:
        """The path behind the lock-up of the day after, in that person's calendar."""
        return DayLink(site_id="orchard", day=WINTER + DAY, person_id=who).path(self.key)


@contextmanager
def scenes(folder: Path) -> Iterator[Scenes]:
    """The household from the noon two days before on."""
    with driven(folder, PROFILE, at("12:30", WINTER - 2 * DAY)) as house:
        data = folder / "data"
        key = signing_key(data, {})
        outside = Outside(
            read=house.clock.read,
            send_test=lambda *_, **__: [],
            is_alive=lambda: True,
            in_force=lambda _profile: None,
            said=lambda _household: None,
            phone_key=lambda _: PHONE_KEY,
        )
        app, made_up = (
            App(Lookout(house.profile_path, DataPlace(data), key), of)
            for of in (outside, replace(outside, is_made_up=True))
        )
        yield Scenes(house, app, made_up, data, key)
