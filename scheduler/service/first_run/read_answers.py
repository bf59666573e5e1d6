"""From what was typed to the answers of a starter profile, and what is wrong beside which field.

Each answer is judged as the profile is: by reading the profile that the answers make.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, get_args

from scheduler.profile.coop import Ranging
from scheduler.profile.fields import MOST_BIRDS, Kind
from scheduler.profile.prepare import USUAL_UNITS, id_of, proposed_zone
from scheduler.profile.problem import KeyPath, Unreadable
from scheduler.profile.starter import (
    Answers,
    Helper,
    House,
    Sender,
    guessed_region,
    starter_text,
)
from scheduler.profile.text_fields import LONGEST_NAME, LONGEST_TEXT, read_line
from scheduler.profile.units import Region, Units
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.service.first_run.so_far import Fields, SoFar
from scheduler.service.first_run.steps import (
    FIELDS,
    MOST_PEOPLE,
    houses,
    kind_and_number,
    people,
    steps_of,
)
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.wording.profile.reading_words import Numbers
from scheduler.wording.profile.starter_words import StarterNames
from scheduler.wording.service.first_run import WrongAnswers

MOST_MINUTES = 120
Wrong = Mapping[str, str]


@dataclass(slots=True)
class _Reading:
    """The answers as far as they can be read, and what cannot, by step and field."""

    so_far: SoFar
    wrong: dict[str, dict[str, str]] = field(default_factory=dict)

    def refuse(self, step: str, name: str, text: str) -> None:
        self.wrong.setdefault(step, {}).setdefault(name, text)

    def whole(self, step: str, name: str, usual: int, most: int) -> int:
        """The whole number in the field; `usual` where there is nothing, or nothing usable."""
        text = self.so_far.of(step).get(name, "").strip()
        if not text:
            return usual
        if text.isdecimal() and len(text) < len("1000000") and int(text) <= most:
            return int(text)
        self.refuse(step, name, said(text, Numbers.whole(least="0", most=str(most))))
        return usual

    def line(self, step: str, name: str, usual: str, longest: int = LONGEST_NAME) -> str:
        """The line of text in the field, as names are; `usual` where there is none."""
        text = self.so_far.of(step).get(name, "")
        if not text.strip():
            return usual
        try:
            return read_line(text, longest)
        except Unreadable as refused:
            self.refuse(step, name, said(text.strip(), refused.accepted, refused.hint))
            return usual

    def one_of(self, step: str, name: str, words: object, usual: str) -> Any:  # noqa: ANN401 - one of a Literal's words
        """The word in the field, where it is one of them; a page offers no other."""
        text = self.so_far.of(step).get(name, usual)
        return text if text in get_args(words) else usual


def answers_of(so_far: SoFar) -> Answers:
    """The answers of the starter profile; what was not answered or cannot be read is as usual."""
    return _answers(_Reading(so_far))


def wrong_in(so_far: SoFar, step: str, now: datetime) -> Wrong:
    """What is wrong with the fields of the step, each in a sentence; empty when nothing is.

    What is wrong with no field that is known stands beside the step's first one.
    """
    wrong = _all_wrong(so_far, now)
    fields = FIELDS.get(kind_and_number(step)[0], ())
    return {**dict(zip(fields, wrong.get("", {}).values(), strict=False)), **wrong.get(step, {})}


def first_wrong(so_far: SoFar, now: datetime) -> str | None:
    """The first step with something wrong in it, now that all are there; None when none is."""
    wrong = _all_wrong(so_far, now)
    return next((one for one in steps_of(so_far) if one in wrong), "place" if wrong else None)


def household_of(so_far: SoFar, now: datetime) -> Household | None:
    """The household that the answers make so far; None while they make none."""
    found = read_profile(starter_text(answers_of(so_far)).encode(), "", now)
    return found if isinstance(found, Household) else None


def said(typed: str, accepted: str, hint: str = "") -> str:
    """The sentence beside a field: what cannot be used, what can, and a hint."""
    if not typed:
        return WrongAnswers.nothing(accepted=accepted)
    shown = typed if len(typed) <= 60 else f"{typed[:59]}…"  # noqa: PLR2004 - fits a phone's line
    if not hint:
        return WrongAnswers.unusable(typed=shown, accepted=accepted)
    return WrongAnswers.unusable_hint(typed=shown, accepted=accepted, hint=hint)


def _all_wrong(so_far: SoFar, now: datetime) -> Mapping[str, Wrong]:
    reading = _Reading(so_far)
    answers = _answers(reading)
    for number in range(1, houses(so_far) + 1):
        step = f"birds-{number}"
        usual = 0 if step in so_far.steps else 6  # what was left empty is asked once more
        both = reading.whole(step, "hens", usual, MOST_BIRDS) + reading.whole(
            step, "roosters", 0, MOST_BIRDS
        )
        if not both and step not in reading.wrong:
            reading.refuse(step, "hens", WrongAnswers.no_birds())
        came = _day(reading, step)
        if came and date.fromisoformat(came) > now.date() + timedelta(days=1):
            reading.refuse(step, "arrived", WrongAnswers.not_yet())
    for number in _repeated([one.coop_name for one in every_house(answers)]):
        reading.refuse(f"house-{number + 1}", "name", WrongAnswers.same_house())
    named = people(so_far)
    for number in _repeated(named):
        reading.refuse("people", "others", WrongAnswers.same_person(name=named[number]))
    if len(named) > MOST_PEOPLE:
        reading.refuse("people", "others", WrongAnswers.too_many_people(most=MOST_PEOPLE))
    for number in range(1, len(named) + 1):
        _judge_reach(reading, f"reach-{number}")
    _judge_servers(reading)
    found = read_profile(starter_text(answers).encode("utf-8", "replace"), "", now)
    for problem in found if isinstance(found, tuple) else ():
        step, name = _where(problem.key)
        typed = so_far.of(step).get(name, "").strip()
        # What is asked for is the server alone; the topic is made for them.
        accepted = WrongAnswers.push_server() if name == "server" else problem.accepted
        reading.refuse(step, name, said(typed, accepted, problem.hint))
    return reading.wrong


def _judge_servers(reading: _Reading) -> None:
    so_far = reading.so_far
    mail = so_far.of("mail")
    if "mail" in so_far.steps and not mail.get("host", "").strip():
        reading.refuse("mail", "host", WrongAnswers.no_mail_server())
    web = so_far.of("web")
    if web.get("where") == "anywhere" and not web.get("address", "").strip().lower().startswith(
        "https://"
    ):
        reading.refuse("web", "address", WrongAnswers.no_https())


def every_house(answers: Answers) -> tuple[House, ...]:
    """The first house and the further ones, each with its birds."""
    return (answers, *answers.further_houses)


def _repeated(names: Sequence[str]) -> Iterator[int]:
    """The position of each name that stands there before, for whoever calls them aloud."""
    seen: set[str] = set()
    for position, name in enumerate(names):
        if (written := id_of("name", name)) in seen:
            yield position
        seen.add(written)


def _judge_reach(reading: _Reading, step: str) -> None:
    fields = reading.so_far.of(step)
    if fields.get("how") == "mail" and not fields.get("mail", "").strip():
        reading.refuse(step, "mail", WrongAnswers.no_mail_address())
    if fields.get("how") == "push" and not fields.get("server", "").strip():
        reading.refuse(step, "server", WrongAnswers.no_push_server())
    if step in reading.so_far.steps and not fields.get("how"):
        reading.refuse(step, "how", WrongAnswers.no_choice())


# In which step and field the keys of a table were typed; "" stands for all its other keys.
_TYPED_IN: Mapping[tuple[str, str], tuple[str, str]] = {
    ("site", "name"): ("dusk", "name"),
    ("site", "id"): ("dusk", "name"),
    ("coop", "getting_there"): ("house", "minutes"),
    ("coop", ""): ("house", "name"),
    ("flock", "hens"): ("birds", "hens"),
    ("flock", "roosters"): ("birds", "roosters"),
    ("flock", "arrived"): ("birds", "arrived"),
    ("flock", ""): ("house", "name"),
    ("person", "push"): ("reach", "server"),
    ("person", "mail"): ("reach", "mail"),
    ("mail", "host"): ("mail", "host"),
    ("mail", "user"): ("mail", "user"),
    ("mail", "from"): ("mail", "from"),
    ("web", ""): ("web", "address"),
}


def _where(key: KeyPath) -> tuple[str, str]:
    """The step and the field in which what stands under the key of the profile was typed."""
    if not key:
        return "", ""
    table, *rest = map(str, key)
    index = next((one for one in key if isinstance(one, int)), None)
    last = next((one for one in reversed(rest) if not one.isdecimal()), "")
    if table == "person" and last not in {"push", "mail"}:
        return "people", "others" if index else "you"
    if table == "duty":
        return "duty", last
    kind, name = _TYPED_IN.get((table, last)) or _TYPED_IN.get((table, "")) or ("place", "typed")
    return (kind if index is None else f"{kind}-{index + 1}"), name


def _answers(reading: _Reading) -> Answers:
    so_far = reading.so_far
    place, web = so_far.of("place"), so_far.of("web")
    latitude_deg, longitude_deg = _degrees(place, "latitude"), _degrees(place, "longitude")
    zone = place.get("zone") or proposed_zone(latitude_deg, longitude_deg) or "Etc/GMT"
    region = reading.one_of("dusk", "region", Region, guessed_region(zone))
    first, *further = (_house(reading, number) for number in range(1, houses(so_far) + 1))
    for name in ("you", "others"):  # each name is judged as the profile's, too
        reading.line("people", name, "", LONGEST_TEXT)
    helpers = tuple(_helpers(so_far))
    you = helpers[0] if helpers else Helper(person_name="")
    return Answers(
        site_name=reading.line("dusk", "name", place.get("near_name") or StarterNames.site()),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        zone_name=zone,
        region=region,
        units=reading.one_of("dusk", "units", Units, USUAL_UNITS.get(region, "metric")),
        coop_name=first.coop_name,
        run_type=first.run_type,
        ranging=first.ranging,
        hens=first.hens,
        roosters=first.roosters,
        kind=first.kind,
        getting_there_minutes=first.getting_there_minutes,
        arrived=first.arrived,
        further_houses=tuple(further),
        person_name=you.person_name,
        mail=you.mail,
        push=you.push,
        further_people=helpers[1:],
        duty=_duty(so_far),
        sender=_sender(so_far),
        base_url=web.get("address" if web.get("where") == "anywhere" else "here", "").strip(),
        trusted_proxies=tuple(filter(None, web.get("proxies", "").split())),
    )


def _degrees(place: Fields, name: str) -> float:
    try:
        return float(place.get(name, "0"))
    except ValueError:
        return 0.0


def _house(reading: _Reading, number: int) -> House:
    house, birds, run = (f"{kind}-{number}" for kind in ("house", "birds", "run"))
    usual = StarterNames.coop() if number == 1 else StarterNames.further_coop(number=number)
    minutes = reading.whole(house, "minutes", 0, MOST_MINUTES)
    return House(
        coop_name=reading.line(house, "name", usual),
        getting_there_minutes=minutes,
        hens=reading.whole(birds, "hens", 6, MOST_BIRDS),
        roosters=reading.whole(birds, "roosters", 0, MOST_BIRDS),
        kind=reading.one_of(birds, "kind", Kind, "medium"),
        arrived=_day(reading, birds),
        run_type={"secure": "secure", "open": "open"}.get(
            reading.so_far.of(run).get("run", ""), ""
        ),
        ranging=reading.one_of(run, "ranging", Ranging, "supervised"),
    )


def _day(reading: _Reading, step: str) -> str:
    """The date as TOML has it; what is none is refused here, as nothing else may stand there."""
    text = reading.so_far.of(step).get("arrived", "").strip()
    if not text:
        return ""
    try:
        return datetime.strptime(text, "%Y-%m-%d").date().isoformat()  # noqa: DTZ007 - a civil date
    except ValueError:
        reading.refuse(step, "arrived", WrongAnswers.no_date(typed=text[:60]))
        return ""


def _helpers(so_far: SoFar) -> Iterator[Helper]:
    for number, name in enumerate(people(so_far)[:MOST_PEOPLE], start=1):
        reach = so_far.of(f"reach-{number}")
        how = reach.get("how")
        yield Helper(
            person_name=name,
            mail=reach.get("mail", "").strip() if how == "mail" else "",
            push=reach.get("push", "") if how == "push" else "",
        )


def _sender(so_far: SoFar) -> Sender | None:
    mail = so_far.of("mail")
    if "mail" not in steps_of(so_far) or not mail.get("host", "").strip():
        return None
    user = mail.get("user", "").strip()
    return Sender(host=mail["host"].strip(), user=user, sender=mail.get("from", "").strip() or user)


def _duty(so_far: SoFar) -> tuple[str, ...]:
    here, chosen = people(so_far), so_far.of("duty")
    named = tuple(chosen.get(day, "") for day in WEEKDAYS)
    if not here or set(named) <= {here[0], ""}:  # whoever comes first has every day anyway
        return ()
    return tuple(name if name in here else "" for name in named)
