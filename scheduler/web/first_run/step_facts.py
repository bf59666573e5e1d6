"""What each step's page shows: the fields as they are, or as is usual, and what is beside them."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from scheduler.profile.starter import Answers
from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.service.first_run.dusk_tonight import dusk_tonight, lock_ups_tonight, where
from scheduler.service.first_run.read_answers import answers_of, every_house, household_of
from scheduler.service.first_run.so_far import SoFar
from scheduler.service.first_run.steps import (
    FIELDS,
    MOST_HOUSES,
    houses,
    kind_and_number,
    people,
)
from scheduler.web.views.subscribe import qr
from scheduler.wording.sources.attribution import PlacesAttribution
from scheduler.wording.spoken import weekday

Facts = dict[str, object]
_MONDAY = date(2026, 1, 5)


def facts_of(step: str, so_far: SoFar, now: datetime, https_address: str) -> Facts:
    """The facts of the step's page; `https_address` is the one by which it was asked, if any."""
    kind, number = kind_and_number(step)
    answers = answers_of(so_far)
    facts: Facts = {
        "number": number,
        "kept": frozenset(so_far.steps),
        "fields": _usual(step, so_far, answers, https_address),
    }
    named = people(so_far)
    if kind == "place":
        facts |= {"credit": PlacesAttribution.place_names()}
    elif kind == "dusk":
        near = so_far.of("place").get("near", "")
        facts |= {"where": where(answers, near), "dusk": dusk_tonight(answers, now)}
    elif kind in {"house", "birds", "run"}:
        all_houses = every_house(answers)
        facts |= {
            "house": all_houses[number - 1].coop_name if number <= len(all_houses) else "",
            "several": houses(so_far) > 1 or number > 1,
            "may_add": houses(so_far) == number and number < MOST_HOUSES,
            "region": answers.region,
        }
    elif kind in {"reach", "subscribe"}:
        address = so_far.of(f"reach-{number}").get("push", "")
        facts |= {
            "who": named[number - 1],
            "is_you": number == 1,
            "address": address,
            "qr": qr(address) if kind == "subscribe" and address else "",
        }
    elif kind == "duty":
        facts |= {"people": named, "days": _days()}
    elif kind == "web":
        facts |= {"came_by_https": bool(https_address)}
    elif kind == "look-over":
        facts |= _all(so_far, answers, now)
    return facts


def _usual(step: str, so_far: SoFar, answers: Answers, https_address: str) -> Mapping[str, str]:
    """What stands in the fields: what was answered, else what is usual."""
    kind, number = kind_and_number(step)
    before = so_far.of(f"reach-{number - 1}") if number > 1 else {}
    first = next(iter(people(so_far)), "")
    usual: dict[str, dict[str, str]] = {
        "dusk": {"name": answers.site_name, "region": answers.region, "units": answers.units},
        "birds": {"hens": "6", "roosters": "0", "kind": "medium"},
        "run": {"run": "open", "ranging": "supervised"},
        "web": {"where": "anywhere" if https_address else "home", "address": https_address},
        "reach": {"server": before.get("server", "")},
        "duty": dict.fromkeys(WEEKDAYS, first),
    }
    empty = dict.fromkeys(FIELDS.get(kind, ()), "")
    return {**empty, **usual.get(kind, {}), **so_far.of(step)}


def _all(so_far: SoFar, answers: Answers, now: datetime) -> Facts:
    """Everything that was answered, to be looked over, with tonight's times."""
    household = household_of(so_far, now)
    duty, has_duty = so_far.of("duty"), len(people(so_far)) > 1
    return {
        "site": answers.site_name,
        "where": where(answers, so_far.of("place").get("near", "")),
        "region": answers.region,
        "houses": [
            {
                "name": one.coop_name,
                "hens": one.hens,
                "roosters": one.roosters,
                "kind": one.kind,
                "arrived": one.arrived,
                "run": one.run_type,
                "ranging": one.ranging,
                "minutes": so_far.of(f"house-{number}").get("minutes", "").strip(),
            }
            for number, one in enumerate(every_house(answers), start=1)
        ],
        "people": [
            {"name": name, **so_far.of(f"reach-{number}")}
            for number, name in enumerate(people(so_far), start=1)
        ],
        "sender": answers.sender,
        "address": answers.base_url if so_far.of("web").get("where") == "anywhere" else "",
        "tonight": lock_ups_tonight(household, now) if household else (),
        "duty": [(day, duty.get(key, "")) for key, day in _days()] if has_duty else [],
    }


def _days() -> tuple[tuple[str, str], ...]:
    """Each weekday as the form and the profile write it, and as people read it."""
    names = (weekday(_MONDAY + timedelta(days=number)) for number in range(len(WEEKDAYS)))
    return tuple(zip(WEEKDAYS, names, strict=True))
