"""The kinds of value that a key of the profile may have."""

import re
from datetime import date, time, tzinfo
from typing import Annotated, Literal, TypeVar

from scheduler.profile.field_readers import (
    AnyCase,
    coordinate,
    number,
    quantity,
    read_area,
    read_percents,
    read_switch,
    reader,
)
from scheduler.profile.text_fields import (
    LONGEST_NAME,
    LONGEST_TEXT,
    matching,
    one_line,
    read_base_url,
    read_listen,
    read_networks,
    read_push,
    read_push_services,
)
from scheduler.profile.time_fields import (
    read_date,
    read_optional_wall_time,
    read_wall_time,
    read_zone,
)
from scheduler.profile.units import Extent
from scheduler.wording.profile.reading_words import Addresses, Lines

_SLUG = re.compile(r"(?=.{1,40}$)[a-z0-9]+(?:-[a-z0-9]+)*")
_MAIL = re.compile(r"[^\s@<>\"',;]+@[^\s@<>\"',;]+\.[^\s@<>\"',;.]+")
# ITU-T E.164: at most 15 digits. Three are the fewest that anybody is called by.
_TELEPHONE = re.compile(
    r"(?=.{1,40}$)(?=(?:[^0-9]*[0-9]){3,15}[^0-9]*$)"
    r"\+?(?:\([0-9][0-9 -]*\)|[0-9])(?:[ -]*(?:\([0-9][0-9 -]*\)|[0-9]))*"
)
_HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]{0,250}[A-Za-z0-9])?|\[[0-9A-Fa-f:]+\]")
MOST_BIRDS = 1000  # of one kind in one flock; more is a slip of the finger, or a farm
one_or_more_percent = reader(read_percents)
_Words = TypeVar("_Words")
Word = Annotated[_Words, AnyCase()]
Name = Annotated[str, one_line(LONGEST_NAME)]
Text = Annotated[str, one_line(LONGEST_TEXT)]
Slug = Annotated[str, matching(_SLUG, Lines.slug)]
Mail = Annotated[str, matching(_MAIL, Addresses.mail)]
Telephone = Annotated[str, matching(_TELEPHONE, Addresses.telephone)]
Host = Annotated[str, matching(_HOST, Addresses.host)]
Push = Annotated[str, reader(read_push)]
BaseUrl = Annotated[str, reader(read_base_url)]
Listen = Annotated[str, reader(read_listen)]
Networks = Annotated[tuple[str, ...], reader(read_networks)]
PushServices = Annotated[tuple[str, ...], reader(read_push_services)]
Switch = Annotated[bool, reader(read_switch)]
Count = Annotated[int, number(0, MOST_BIRDS, whole=True)]
Percent = Annotated[float, number(0, 100)]
Latitude = Annotated[float, coordinate("latitude")]
Longitude = Annotated[float, coordinate("longitude")]
HorizonAngle = Annotated[float, quantity("angle", 0, 45, bare=True)]
SunAngle = Annotated[float, quantity("angle", -18, 10, bare=True)]
Elevation = Annotated[float, quantity("length", -430, 6000)]
Length = Annotated[float, quantity("length", 0.005, 500)]
Volume = Annotated[float, quantity("volume", 0.05, 5000)]
Mass = Annotated[float, quantity("mass", 0.2, 30)]
Temperature = Annotated[float, quantity("temperature", -70, 60)]
Minutes = Annotated[float, quantity("duration", -120, 240)]
WayMinutes = Annotated[float, quantity("duration", 0, 120, bare=True)]
Days = Annotated[float, quantity("duration", 1440, 730 * 1440, whole=1440)]
Area = Annotated[Extent, reader(read_area)]
CivilDate = Annotated[date, reader(read_date)]
WallTime = Annotated[time, reader(lambda value, _: read_wall_time(value))]
OptionalWallTime = Annotated[time | None, reader(read_optional_wall_time)]
Zone = Annotated[tzinfo, reader(read_zone)]
Kind = Literal["bantam", "light", "medium", "heavy"]
