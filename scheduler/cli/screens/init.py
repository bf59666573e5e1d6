"""`duskfold init`: a few questions, then a commented profile that `check` accepts."""

import signal
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal, NoReturn, get_args

from scheduler.cli.faults import CANNOT_USE, FAILED, STOPPED, by_program, complain, is_yes
from scheduler.cli.screens.init_forecast import forecast_asked
from scheduler.cli.screens.init_height import mean_height_of_hills
from scheduler.cli.screens.tables import wrapped
from scheduler.cli.terminal import is_terminal
from scheduler.cli.typed import refusal
from scheduler.machine.paths import PROFILE_NAME, write_whole
from scheduler.profile.coop import Ranging
from scheduler.profile.coordinates import (
    ACCEPTED,
    BOTH,
    SOUTHERNMOST_DEG,
    read_coordinate,
    read_place,
)
from scheduler.profile.fields import MOST_BIRDS, Kind
from scheduler.profile.hints import hint_for_value
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import USUAL_UNITS, proposed_zone
from scheduler.profile.problem import KeyPath, Problem, Unreadable, nearest
from scheduler.profile.starter import Answers, guessed_region, starter_text
from scheduler.profile.units import Region, Units
from scheduler.service.flock_notes import FAR_TOO_MANY_BIRDS
from scheduler.service.household.exposure import with_topic
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.service.reachable import reaches_anybody
from scheduler.wording.cli.init import InitAccepted, InitAsks, InitFaults, InitOdd, InitScreen
from scheduler.wording.cli.refusals import Faults, FoundThere
from scheduler.wording.profile.reading_words import Moments, Numbers
from scheduler.wording.spoken import in_a_row

Said = dict[str, str | None]
_ASKED = (
    "latitude", "timezone", "region", "units", "elevation", "name", "coop", "floor", "run",
    "run-floor", "door", "ranging", "hens", "roosters", "coldest-month-low", "warmest-month-high",
    "forecast", "person", "push", "mail",
)  # fmt: skip
# A house and a run as examples.
_IN_FEET, _IN_METRES = ("4 ft x 8 ft", "8 ft x 12 ft"), ("1.2 m x 2.4 m", "2.5 m x 4 m")
# Where the profile has what an option says: what people write there is known.
_KEYS: dict[str, KeyPath] = {
    "region": ("site", "region"),
    "units": ("units",),
    "type": ("coop", 0, "type"),
    "run": ("coop", 0, "run", "type"),
    "door": ("coop", 0, "door"),
    "ranging": ("coop", 0, "ranging"),
    "kind": ("flock", 0, "kind"),
}
# While one of the two is asked, the other must not be in its way.
_HOTTER_THAN_ANYWHERE = "59 °C"
_COLDER_THAN_ANYWHERE = "-59 °C"


class _Unusable(Unreadable):
    """An answer that makes no usable profile, and what is found in it."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.accepted, problem.hint)
        self.found = problem.found


class _NoMoreAnswers(Exception):  # noqa: N818 - what happened, not that we failed
    """Standard input ended in the middle of the questions."""


def write(path: Path, said: Said, *, now: datetime, force: bool) -> None:
    """Asks what is missing and writes the profile; an existing one only with `force` or a yes.

    `said` has what each option said, by the option's name; None where it said nothing. Nothing is
    written before the last answer; Ctrl-C ends with status 130.
    """
    asks = is_terminal(sys.stdin)
    try:
        household = _answered(path, said, now, asks=asks, force=force)
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # pressed twice it has the same end
        complain("", by_program(InitFaults.stopped(), "init"))
        sys.exit(STOPPED)
    except _NoMoreAnswers:
        complain("", by_program(InitFaults.no_more_answers(), "init"))
        sys.exit(CANNOT_USE)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # Topics in it are as good as keys.
        write_whole(path, household.text.encode(), private=True)
    except OSError as error:
        print(household.text)  # so that no answer is lost
        why = error.strerror or error
        complain(by_program(InitFaults.printed_above(profile=path, error=why)))
        sys.exit(FAILED)
    is_usual = path == Path(PROFILE_NAME)
    print((InitScreen.wrote if is_usual else InitScreen.wrote_elsewhere)(profile=path))
    for person in household.profile.person:
        if person.push:
            print(InitScreen.subscribe(person=person.name, topic=person.push))
    if not reaches_anybody(household.profile):
        has_mail = any(person.mail for person in household.profile.person)
        lacks = InitScreen.needs_server if has_mail else InitScreen.needs_way
        print(wrapped(lacks(profile=path)))


def _answered(path: Path, said: Said, now: datetime, *, asks: bool, force: bool) -> Household:
    """The household that the answers make."""
    if path.is_dir():
        told = InitFaults.is_folder(profile=path, example=path / PROFILE_NAME)
        complain(by_program(told))
        sys.exit(CANNOT_USE)
    if asks:
        _refuse_wrong_options(said, now)
    if path.exists() and not force and not (asks and _yes(InitScreen.replace(profile=path))):
        complain(by_program(InitFaults.is_there(profile=path)))
        sys.exit(CANNOT_USE)
    missing = {} if asks else _missing(said)
    judged = _of_somebody(said) if "person" in missing else said
    interview = _Interview(said=judged, now=now, asks=asks)
    interview.refused |= missing
    interview.run()
    return interview.household()


def _missing(said: Said) -> dict[str, str]:
    """What nobody can be asked for, by its option: one line for all of them."""
    given = dict(said)
    if said["longitude"] is None and _is_place(said["latitude"] or ""):
        given["longitude"] = ""
    found = dict.fromkeys((o for o in ("latitude", "longitude", "hens") if given[o] is None), "")
    for first in list(found)[:1]:
        needed = in_a_row([f"--{option}" for option in found])
        found[first] = InitFaults.nobody_to_ask(options=needed)
    if (said["mail"] or said["push"]) and not said["person"]:
        found["person"] = InitFaults.whose_address()
    return found


def _refuse_wrong_options(said: Said, now: datetime) -> None:
    """Ends with all that is wrong with the options: no answer is typed for nothing."""
    judged = _Interview(said=_of_somebody(said), now=now, asks=False, is_told=False)
    to_ask = (option for option in (*_ASKED, "longitude") if said[option] is None)
    judged.refused = dict.fromkeys(to_ask, "")
    judged.run()
    if any(judged.refused.values()):
        judged.household()


def _of_somebody(said: Said) -> Said:
    """With a name where none is said yet, so that mail and push are judged."""
    return {**said, "person": said["person"] or "Somebody"}


def _is_place(text: str) -> bool:
    try:
        return read_place(text) is not None
    except Unreadable:
        return False


@dataclass(slots=True)
class _Interview:
    """One run of the questions; every answer is judged as `check` would, with those before it.

    `refused` has what is wrong by option; where nobody is asked, all of it is told at once.
    """

    said: Said
    now: datetime
    asks: bool
    is_told: bool = True  # what is odd about an answer
    number: int = 0
    refused: dict[str, str] = field(default_factory=dict)
    answers: Answers = field(default_factory=Answers)

    def run(self) -> None:
        """Every question that no option has answered, in turn."""
        if self.asks:
            total = sum(self.said[option] is None for option in _ASKED)
            print(wrapped(InitScreen.begin(count=total)))
        self._place()
        self._house()
        self._birds()
        self._climate()
        if self.asks or self.said["forecast"] is not None:  # else nobody was asked, so no answer
            self._ask("forecast", *forecast_asked(self.answers))
        self._person()

    def household(self) -> Household:
        """What the answers make; ends with what is wrong."""
        if self.refused:
            self._end()
        judged = self._judged(self.answers)
        if isinstance(judged, Household):
            return judged
        complain(*map(str, judged), by_program(InitFaults.nothing_written(), "init"))
        sys.exit(CANNOT_USE)

    def _judged(self, answers: Answers) -> Household | tuple[Problem, ...]:
        return read_profile(starter_text(answers).encode("utf-8", "replace"), "", self.now)

    def _place(self) -> None:
        self._ask(
            "latitude", InitAsks.place(accepted=BOTH()), None, self._read_place, self._odd_place
        )
        at = (self.answers.latitude_deg, self.answers.longitude_deg)
        mapped = proposed_zone(*at)
        if not {"latitude", "longitude"} & self.refused.keys():
            self._ask("timezone", InitAsks.zone(), mapped, self._read_zone, self._odd_zone)
        elif named := self.said["timezone"]:  # whether it fits the place is not known yet
            try:
                zone(named)
            except Unreadable as refused:
                self._refuse("timezone", _why(named, refused, "timezone"))
        guess = guessed_region(self.answers.zone_name)
        self._word("region", "region", InitAsks.region(), Region, guess)
        usual = USUAL_UNITS.get(self.answers.region, "metric")
        self._word("units", "units", InitAsks.units(), Units, usual)
        mean = mean_height_of_hills(self.answers)
        if mean or self.said["elevation"] is not None:
            self._text("elevation", "elevation", InitAsks.elevation(mean=mean), "")
        self._text("name", "site_name", InitAsks.site(), self.answers.site_name)

    def _house(self) -> None:
        house, run = _IN_METRES if self.answers.units == "metric" else _IN_FEET
        self._text("coop", "coop_name", InitAsks.coop(), self.answers.coop_name)
        self._word("type", "coop_type", "", Literal["fixed", "ark"], "fixed")
        self._text("floor", "floor", InitAsks.floor(example=house), "")
        if self.asks or self.said["run"] is not None or self.said["run-floor"]:
            self._word("run", "run_type", InitAsks.run(), Literal["secure", "open"], "open")
        self._text("run-floor", "run_floor", InitAsks.run_floor(example=run), "")
        self._word("door", "door", InitAsks.door(), Literal["manual", "automatic"], "manual")
        self._word("ranging", "ranging", InitAsks.ranging(), Ranging, "supervised")

    def _birds(self) -> None:
        self._ask("hens", InitAsks.hens(), "6", self._count("hens"), self._odd_count)
        self._ask("roosters", InitAsks.roosters(), "0", self._count("roosters"), self._odd_count)
        self._word("kind", "kind", "", Kind, "medium")

    def _climate(self) -> None:
        cold, warm = ("20 °F", "85 °F") if self.answers.units == "us" else ("-5 °C", "24 °C")
        said = self.said
        asked = InitAsks.coldest(example=cold)

        def coldest(text: str) -> Answers:
            hot = said["warmest-month-high"] or _HOTTER_THAN_ANYWHERE
            return replace(
                self.answers, coldest_month_low=text, warmest_month_high=hot if text else ""
            )

        self._ask("coldest-month-low", asked, "", coldest)
        if "coldest-month-low" in self.refused:  # so that the other is judged by itself
            self.answers = replace(self.answers, coldest_month_low=_COLDER_THAN_ANYWHERE)
            if said["warmest-month-high"] is None:
                return
        if not self.answers.coldest_month_low:
            if said["warmest-month-high"]:
                alone = InitFaults.one_climate()
                self._refuse("warmest-month-high", alone)
            return
        asked = InitAsks.warmest(example=warm)

        def warmest(text: str) -> Answers:
            if not text:  # what was said of the coldest would be lost
                both = InitAccepted.both_temperatures(example=warm)
                raise Unreadable(both, InitAccepted.coldest_given())
            return self._set("warmest_month_high")(text)

        self._ask("warmest-month-high", asked, None, warmest)

    def _person(self) -> None:
        self._text("person", "person_name", InitAsks.person(), "")
        if not self.answers.person_name:
            return
        self._ask(
            "push", InitAsks.push(), "", lambda text: replace(self.answers, push=_topic(text))
        )
        self._text("mail", "mail", InitAsks.mail(), "")

    def _text(self, option: str, attribute: str, asked: str, default: str) -> None:
        self._ask(option, asked, default, self._set(attribute))

    def _word(self, option: str, attribute: str, asked: str, words: object, default: str) -> None:
        def read(text: str) -> Answers:
            return self._set(attribute)(_one_of(text, get_args(words), _KEYS[option]))

        self._ask(option, asked, default, read)

    def _set(self, attribute: str) -> Callable[[str], Answers]:
        return lambda text: self._with(attribute, " ".join(text.split()))

    def _with(self, attribute: str, value: str | int) -> Answers:
        changed: dict[str, Any] = {attribute: value}
        return replace(self.answers, **changed)

    def _ask(
        self,
        option: str,
        asked: str,
        default: str | None,
        read: Callable[[str], Answers],
        odd: Callable[[Answers], str] = lambda _: "",
    ) -> None:
        """Takes the option's word, else asks until an answer can be used."""
        given = self.said[option]
        if given is not None or not self.asks or option not in _ASKED:
            text = given if given is not None else default or ""
            try:
                self.answers = self._accepted(read(text))
            except Unreadable as refused:
                self._refuse(option, _why(text, refused, option))
            else:
                if self.is_told and (question := odd(self.answers)):
                    complain(Faults.note(note=question))
            return
        self.number += 1
        prompt = InitScreen.asked(number=self.number, question=asked)
        if default:
            shown = InitScreen.asked_usual
            prompt = shown(number=self.number, question=asked, usual=default)
        while True:
            text = _reply(prompt) or default or ""
            try:
                answers = self._accepted(read(text))
            except Unreadable as refused:
                print(wrapped(_why(text, refused), indent=3))
                continue
            question = odd(answers)
            if not question or _yes(question):
                self.answers = answers
                return

    def _accepted(self, answers: Answers) -> Answers:
        """The answers where they make a usable profile.

        Raises:
            Unreadable: they do not; says what is accepted.
        """
        judged = self._judged(answers)
        if isinstance(judged, Household):
            return answers
        raise _Unusable(judged[0])

    def _refuse(self, option: str, why: str) -> None:
        self.refused.setdefault(option, why)
        if self.asks:  # before anything more is asked for nothing
            self._end()

    def _end(self) -> NoReturn:
        lines = [*filter(None, self.refused.values()), InitFaults.nothing_written()]
        complain(*(by_program(line, "init") for line in lines))
        sys.exit(CANNOT_USE)

    def _read_place(self, text: str) -> Answers:
        try:
            place = read_place(text)
            latitude_deg = read_coordinate(text, "latitude") if place is None else 0.0
        except Unreadable:
            if not self.asks:
                self._longitude()  # what is wrong with both is told at once
            raise
        if place is None:
            place = (latitude_deg, self._longitude())
        elif self.said["longitude"] is not None:
            raise Unreadable(ACCEPTED["latitude"](), InitAccepted.longitude_twice())
        latitude_deg, longitude_deg = place
        # Until the zone is asked: one that the sun agrees with.
        hours = round(longitude_deg / 15)
        nominal = f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT"
        return replace(
            self.answers,
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            zone_name=proposed_zone(*place) or nominal,
        )

    def _longitude(self) -> float:
        """The other half, from its option or asked for by itself."""
        given = self.said["longitude"]
        is_asked = given is None and self.asks
        while True:
            text = _reply(InitScreen.longitude()) if is_asked else given or ""
            try:
                return read_coordinate(text, "longitude")
            except Unreadable as refused:
                if not is_asked:
                    self._refuse("longitude", _why(text, refused, "longitude"))
                    return 0.0
                print(wrapped(_why(text, refused), indent=3))

    @staticmethod
    def _odd_place(answers: Answers) -> str:
        at = (answers.latitude_deg, answers.longitude_deg)
        if proposed_zone(*at) is not None:
            return ""
        swaps = max(map(abs, at)) <= 90 and at[1] >= SOUTHERNMOST_DEG  # noqa: PLR2004 - the pole
        other = proposed_zone(at[1], at[0]) if swaps else None
        shown = {"latitude": f"{at[0]:g}", "longitude": f"{at[1]:g}"}
        return InitOdd.sea_swapped(**shown, zone=other) if other else InitOdd.sea(**shown)

    def _read_zone(self, text: str) -> Answers:
        if not text:
            raise Unreadable(Moments.zone(), InitAccepted.no_zone())
        zone(text)
        return replace(self.answers, zone_name=text)

    def _odd_zone(self, answers: Answers) -> str:
        mapped = proposed_zone(answers.latitude_deg, answers.longitude_deg)
        if mapped is None or mapped == answers.zone_name:
            return ""
        days = [self.now.replace(month=month, day=1) for month in (1, 7)]
        theirs, given = (
            [day.astimezone(zone(name)).utcoffset() for day in days]
            for name in (mapped, answers.zone_name)
        )
        if theirs == given:
            return ""
        return InitOdd.zone(zone=mapped, given=answers.zone_name)

    def _count(self, attribute: str) -> Callable[[str], Answers]:
        def read(text: str) -> Answers:
            if not text.strip().isdecimal() or int(text[:9]) > MOST_BIRDS:
                raise Unreadable(Numbers.whole(least=0, most=MOST_BIRDS))
            return self._with(attribute, int(text))

        return read

    @staticmethod
    def _odd_count(answers: Answers) -> str:
        count = answers.hens + answers.roosters
        if count <= FAR_TOO_MANY_BIRDS:
            return ""
        return InitOdd.birds(birds=count)


def _topic(text: str) -> str:
    """The topic's address; of a server alone, a topic nobody can guess."""
    text = text.strip()
    return with_topic(text if not text or "://" in text else f"https://{text}")


def _why(text: str, refused: Unreadable, option: str = "") -> str:
    """What was found, and what is accepted; with the option that said it where one did."""
    where = f"--{option}" if option else ""
    found = refused.found if isinstance(refused, _Unusable) else ""
    is_typed = bool(text) and not found
    there = found or text or FoundThere.nothing()
    said = refusal(where, there, refused.accepted, is_typed=is_typed)
    return f"{said} {refused.hint}".rstrip()


def _reply(asked: str) -> str:
    """What was typed, without what no file can hold.

    Raises:
        KeyboardInterrupt: Ctrl-C.
        _NoMoreAnswers: the input has ended.
    """
    try:
        return input(asked).encode("utf-8", "replace").decode().strip()
    except EOFError:
        raise _NoMoreAnswers from None


def _yes(question: str) -> bool:
    return is_yes(_reply(Faults.yes_or_no(question=question)))


def _one_of(text: str, words: tuple[str, ...], key: KeyPath) -> str:
    by_fold = {word.casefold(): word for word in words}
    if found := by_fold.get(" ".join(text.split()).casefold()):
        return found
    raise Unreadable(in_a_row(words), nearest(text, words) or hint_for_value(key, text))
