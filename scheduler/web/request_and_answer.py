"""One request to a page, and what comes back: values that the pages deal in."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from scheduler.journal.access import SignedIn
from scheduler.journal.store import Journal
from scheduler.profile.person import Person
from scheduler.profile.shared_screen import Screen, screen_of
from scheduler.profile.values import Profile
from scheduler.profile.who_may import LINK, SCREEN, Matter, MayNot, Voice, may, voice_of
from scheduler.profile.words import local_clock
from scheduler.service.diary import Speaker
from scheduler.service.health.causes import Cause
from scheduler.service.household.keep_profile import KeptProfile
from scheduler.web.household_now import Lookout, Standing
from scheduler.wording.web.refusals import RefusalTitles

_TAPPED_BEFORE = timedelta(hours=48)
_CLOCKS_APART = timedelta(minutes=5)
_LONGEST_FIELD = 400
_MOST_NUMBERS = 50  # of one field that is sent several times


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Who asks for what, and how everything stands; `person` is None when nobody is signed in."""

    now: datetime
    standing: Standing
    lookout: Lookout
    session: SignedIn | None = None
    path: Mapping[str, str] = field(default_factory=dict)
    query: Mapping[str, str] = field(default_factory=dict)
    form: Mapping[str, list[str]] = field(default_factory=dict)
    agent: str = ""
    warnings: tuple[Cause, ...] = ()  # why the reminders cannot be relied on

    @property
    def profile(self) -> Profile:
        """The profile in force."""
        return self.standing.household.profile

    @property
    def person(self) -> Person | None:
        """Who is signed in."""
        return self.person_of(self.session.person_id) if self.session else None

    @property
    def screen(self) -> Screen | None:
        """The shared screen that is signed in, if it is one."""
        return screen_of(self.session.person_id) if self.session else None

    @property
    def speakers(self) -> tuple[Person, ...]:
        """Whose name may be chosen on a shared screen for what is said there."""
        if not self.screen:
            return ()
        return tuple(person for person in self.profile.person if person.is_there(self.today))

    @property
    def voice(self) -> Voice | None:
        """Whose word it is that is said here; None when nobody is signed in."""
        if self.screen:
            return SCREEN
        return voice_of(self.person) if self.person else None

    def may_not(self, matter: Matter, day: date | None = None) -> MayNot | None:
        """Why whoever is signed in may not say that of `day`; None where they may."""
        return may(self.voice, matter, day) if self.voice else None

    @property
    def speaker(self) -> Speaker:
        """Whoever says something on a page, by the right of their session."""
        voice = self.voice or LINK
        chosen = self.said("by") if self.screen and self.who else None
        person_id = self.person.id if self.person else chosen
        return Speaker(
            who=self.who, now=self.now, today=self.today, voice=voice, person_id=person_id
        )

    @property
    def who(self) -> str:
        """The name that is written down with what is said; empty where none was chosen."""
        if self.screen:
            chosen = (one.name for one in self.speakers if one.id == self.said("by"))
            return next(chosen, "")
        return self.person.name if self.person else "somebody"

    @property
    def journal(self) -> Journal:
        """The journal, for what the visitor says.

        Raises:
            JournalFault: it cannot be used.
        """
        return self.lookout.journal()

    @property
    def kept_profile(self) -> KeptProfile:
        """The profile, for whoever reads or changes it.

        Raises:
            JournalFault: the journal cannot be used.
        """
        return self.lookout.kept_profile()

    @property
    def today(self) -> date:
        """The civil date at the site."""
        return self.standing.household.today(self.now)

    def person_of(self, person_id: str) -> Person | None:
        """The person of that id."""
        return next((one for one in self.profile.person if one.id == person_id), None)

    def clock(self, at: datetime, day: date | None = None) -> str:
        """The time by the clock at the site; with the weekday when it is not on `day`."""
        site = (self.profile.on(day) if day else self.profile.at(at)).site
        return local_clock(at, site.zone, site.region, day)

    def said(self, name: str) -> str:
        """The last value of a field, cut to a length that fits a page."""
        values = self.form.get(name, [""])
        return values[-1].strip()[:_LONGEST_FIELD]

    def number(self, name: str) -> int:
        """The whole number in a field; -1 where there is none, or an absurd one."""
        text = self.said(name)
        return int(text) if text.isdecimal() and len(text) < len("1000000") else -1

    def numbers(self, name: str) -> list[int]:
        """The whole numbers in every field of that name; at least one, as `number` gives it."""
        few = [text for text in self.form.get(name, [])[:_MOST_NUMBERS] if text.isdecimal()]
        return [int(text) for text in few if len(text) < len("1000000")] or [self.number(name)]

    @property
    def typed(self) -> dict[str, str]:
        """Every field of the form, as `said` gives it."""
        return {name: self.said(name) for name in self.form}

    def tapped_at(self) -> datetime | None:
        """When the button was pressed, if that was told and can be: kept while out of reach."""
        told = self.said("at")
        if not told.isdecimal() or len(told) > len("9999999999"):
            return None
        at = datetime.fromtimestamp(int(told), self.now.tzinfo)
        return at if self.now - _TAPPED_BEFORE <= at <= self.now + _CLOCKS_APART else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What comes back: a page to render, or another address to go to (303)."""

    template: str = ""
    facts: Mapping[str, object] = field(default_factory=dict)
    status: int = 200
    location: str = ""
    cookie: str | None = None  # the session's; empty to end it


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why nothing was kept, in a sentence, and what was sent, to be sent once more.

    `back` is the way back; empty: the address that was asked.
    """

    title: str
    text: str
    sent: tuple[tuple[str, str], ...] = ()
    back: str = ""


def refuse(why: MayNot) -> Answer:
    """The page that says why somebody may not say or see that: nothing was kept."""
    return Answer(template="refused.html", facts={"refusal": refusal_of(why)}, status=403)


def refusal_of(why: MayNot) -> Refusal:
    """The same in a page's words."""
    return Refusal(title=RefusalTitles.not_yours(), text=why.sentence, back="/")


def go(location: str) -> Answer:
    """To another page, after something was done."""
    return Answer(status=303, location=location)


def ask(  # noqa: PLR0913 - a question, its words and where each answer leads
    title: str, text: str, *, yes: str, action: str, sent: Mapping[str, str], back: str
) -> Answer:
    """The page with a question first: yes sends the form to `action`, no goes back."""
    facts = {"title": title, "text": text, "yes": yes, "action": action, "sent": sent, "back": back}
    return Answer(template="ask.html", facts=facts)
