"""From what was typed for a place to where it is: coordinates, or the name of a place."""

from dataclasses import dataclass
from functools import lru_cache

from scheduler.places.place import Place, labels
from scheduler.profile.coordinates import read_place
from scheduler.profile.prepare import proposed_zone
from scheduler.profile.problem import Unreadable
from scheduler.service.find_place import places
from scheduler.service.first_run.read_answers import said
from scheduler.service.first_run.so_far import Fields
from scheduler.wording.service.first_run import WrongAnswers

_FORMS = 16  # a name with a slip is dear to find, and a form asks for it two or three times


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """Several places of that name, or near to it; `wrong` says why they are asked about."""

    places: tuple[Place, ...]
    wrong: str = ""

    @property
    def options(self) -> tuple[tuple[str, str], ...]:
        """Each by what chooses it, with what it is called."""
        values = map(_value, self.places)
        return tuple(zip(values, labels(self.places), strict=True))


@lru_cache(_FORMS)
def read_typed(typed: str, chosen: str) -> Fields | Choice | str:
    """The fields of a place, the places to choose from, or why it is none.

    `chosen` is the value of one of the options that this was answered with before; of another
    name's it is none.
    """
    text = " ".join(typed.split())
    if not text:
        return WrongAnswers.no_place()
    try:
        at = read_place(text)
    except Unreadable as refused:
        return said(text, refused.accepted, refused.hint)
    if at:
        near = places().near(*at)
        return _fields(text, *at, near)
    found, is_slip = places().starting(text), False
    if not found:
        found, is_slip = places().like(text), True
    if one := next((one for one in found if _value(one) == chosen), None):
        found, is_slip = (one,), False
    if not found:
        return WrongAnswers.unknown_place(typed=text[:80])
    if len(found) == 1 and not is_slip:
        one = found[0]
        return _fields(text, one.latitude_deg, one.longitude_deg, one)
    wrong = WrongAnswers.nearest_places(typed=text[:80]) if is_slip else ""
    return Choice(places=found, wrong=wrong)


def _value(place: Place) -> str:
    """By where it is: its number would be another place's once the name is another."""
    return f"{place.latitude_deg:.4f},{place.longitude_deg:.4f}"


def _fields(typed: str, latitude_deg: float, longitude_deg: float, near: Place | None) -> Fields:
    zone = proposed_zone(latitude_deg, longitude_deg) or (near.zone_name if near else None)
    return {
        "typed": typed,
        "latitude": f"{latitude_deg:.4f}",
        "longitude": f"{longitude_deg:.4f}",
        "near": str(near) if near else "",
        "near_name": near.name if near else "",
        "zone": zone or "",
    }
