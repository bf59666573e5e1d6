"""Whose forecast a keeper agreed to, and how much of the place is told for it."""

import re
from collections.abc import Iterator
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ValidationInfo, model_validator

from scheduler.profile.field_readers import reader
from scheduler.profile.fields import Word
from scheduler.profile.frozen_table import Value, agree, key, needed
from scheduler.profile.problem import Problem, Unreadable
from scheduler.profile.text_fields import LONGEST_NAME, read_line
from scheduler.profile.units import Region
from scheduler.wording.profile.weather_keys import ForecastKeys, WrongForecast

SourceName = Literal["met-norway", "open-meteo", "us-nws"]
ROUNDINGS_DEG = (0.01, 0.1)
# It stands in brackets in a header, so no more than ASCII, and no bracket.
_CONTACT = re.compile(
    r"[A-Za-z0-9._%+-]+@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+"
    r"|https://[A-Za-z0-9][A-Za-z0-9.-]*(?::\d{1,5})?(?:/[A-Za-z0-9._~/%+-]*)?"
)
# Where the National Weather Service forecasts (M): south, north, west, east. Roughly: Toronto and
# Tijuana lie in the first one as well.
_NWS_DEG = (
    (24.0, 49.6, -125.5, -66.5),  # the 48 states
    (51.0, 72.0, -180.0, -129.5),  # Alaska
    (51.0, 54.0, 172.0, 180.0),  # the Aleutians past the date line
    (18.5, 29.0, -179.0, -154.5),  # Hawaii
    (17.5, 19.0, -68.0, -64.4),  # Puerto Rico and the Virgin Islands
    (13.0, 21.0, 144.0, 146.5),  # Guam and the Northern Marianas
    (-15.0, -10.5, -172.0, -168.0),  # American Samoa
)


def _in_a_list() -> BeforeValidator:
    def read(value: Any, _: ValidationInfo) -> Any:  # noqa: ANN401 - TOML gives any type
        if not isinstance(value, list | tuple):
            hint = WrongForecast.in_brackets() if isinstance(value, str) else ""
            raise Unreadable(WrongForecast.services(), hint)
        return value

    return reader(read)


def _read_rounding(value: Any, _: ValidationInfo) -> float:  # noqa: ANN401 - as above
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or value not in ROUNDINGS_DEG:
        raise Unreadable(WrongForecast.rounding())
    return float(value)


def _read_contact(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    try:
        text = read_line(value, LONGEST_NAME)
    except Unreadable as refused:
        raise Unreadable(WrongForecast.contact(), refused.hint) from None
    if not _CONTACT.fullmatch(text):
        is_page = text.startswith(("http://", "www."))
        raise Unreadable(WrongForecast.contact(), WrongForecast.secure() if is_page else "")
    return text


class Forecasts(Value):
    """Whose forecast may be asked, the preferred one first; with none the answer was no."""

    sources: Annotated[tuple[Word[SourceName], ...], _in_a_list()] = needed(ForecastKeys.sources)
    rounding_deg: Annotated[float, reader(_read_rounding)] = key(0.01, ForecastKeys.rounding)
    contact: Annotated[str, reader(_read_contact)] | None = key(None, ForecastKeys.contact)

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        agree(self._repeated())
        return self

    def _repeated(self) -> Iterator[Problem]:
        for index, service in enumerate(self.sources):
            if service in self.sources[:index]:
                found, accepted = WrongForecast.twice(service=service), WrongForecast.once()
                yield Problem(key=("sources", index), found=found, accepted=accepted)


def in_reach_of_nws(latitude_deg: float, longitude_deg: float) -> bool:
    """Whether the US National Weather Service may know the place; far from the US it never does."""
    return any(
        south <= latitude_deg <= north and west <= longitude_deg <= east
        for south, north, west, east in _NWS_DEG
    )


def usual_source(region: Region, latitude_deg: float, longitude_deg: float) -> SourceName:
    """The service that is named in the question: MET Norway, in the US their own."""
    at_home = region == "US" and in_reach_of_nws(latitude_deg, longitude_deg)
    return "us-nws" if at_home else "met-norway"
