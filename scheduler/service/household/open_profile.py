"""Opens a profile for use: loaded, and judged by every room that has something to say."""

import logging
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from pathlib import Path

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.problems import problems
from scheduler.profile.load import Problems, parse
from scheduler.profile.package_data import catalogue as raw_catalogue
from scheduler.profile.raw import LARGEST_BYTES
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.profile.values import Profile

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Household:
    """A usable profile with the catalogue of jobs, and the text it was read from."""

    profile: Profile
    catalogue: Catalogue
    text: str = ""

    def today(self, now: datetime) -> date:
        """The civil date at the site, wherever that is then."""
        return self.profile.date_at(now)

    def as_of(self, now: datetime) -> "Household":
        """The household where it lives today."""
        return self.on(self.today(now))

    def on(self, day: date) -> "Household":
        """The household where it lives on that date; itself where it lives there already."""
        profile = self.profile.on(day)
        return self if profile is self.profile else replace(self, profile=profile)

    def with_phones(self, phones: tuple[RingingPhone, ...], day: date) -> "Household":
        """The household with these phones, where it lives on that date; itself with the same."""
        profile = self.profile.with_phones(phones)
        return self if profile is self.profile else replace(self, profile=profile.on(day))


def open_profile(path: Path, now: datetime) -> Household | Problems:
    """The household, or everything that is wrong with its profile in line order.

    Raises:
        OSError: the file cannot be read.
    """
    with path.open("rb") as file:
        return read_profile(file.read(LARGEST_BYTES + 1), str(path), now)


def read_profile(content: bytes, file: str, now: datetime) -> Household | Problems:
    """As `open_profile`, for content already read; `file` is the name that problems carry."""
    catalogue = cares.read(raw_catalogue())
    # The zone is not known yet, and somewhere tomorrow has come.
    tomorrow = date.fromordinal(now.date().toordinal() + 1)
    read = partial(parse, content, file=file, judge=partial(problems, catalogue=catalogue))
    loaded = read(today=tomorrow)
    if not isinstance(loaded, tuple):
        here = loaded.profile.date_at(now)
        if any(here < (one.joined or one.hatched or here) for one in loaded.profile.flock):
            loaded = read(today=here)
    if isinstance(loaded, tuple):
        return loaded
    profile = loaded.profile
    _log.info("profile.opened coops=%d flocks=%d", len(profile.coop), len(profile.flock))
    return Household(profile=profile, catalogue=catalogue, text=loaded.text)
