"""The vent changes of one coop: the catalogue says when, this coop's own openings say what."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from scheduler.cares.vent_seasons import CHANGES, season_on, season_weather
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import all_on_heat
from scheduler.husbandry.drying import Drying
from scheduler.husbandry.groups import Group, groups
from scheduler.husbandry.ventilation import Season, Setting, low_vents_share, setting
from scheduler.profile.coop import Coop
from scheduler.profile.phrase import Text, filled, joined
from scheduler.profile.quantity import reckoned
from scheduler.profile.values import Profile
from scheduler.wording.cares.vents import AirExpected, VentsChange
from scheduler.wording.words import Words

_DAY = timedelta(days=1)
_TITLES: Mapping[Drying, Words] = {
    "dry": VentsChange.title,
    "open": VentsChange.low_vents,
    "enlarge": VentsChange.enlarge,
    "larger helps": VentsChange.enlarge,
    "bedding": VentsChange.bedding,
}
_DRIER: Mapping[Drying, Words] = {
    "open": AirExpected.low_vents,
    "enlarge": AirExpected.enlarge,
    "larger helps": AirExpected.larger_helps,
    "bedding": AirExpected.bedding,
}


def change(
    care_id: str, profile: Profile, coop: Coop, day: date, averages: Averages
) -> tuple[str, Text] | None:
    """What to set in this coop for the care of the catalogue, and why; None: nothing changes."""
    begins, ends = CHANGES[care_id]
    now = season_setting(profile, coop, begins, day, averages)
    # A season of under a fortnight is left out: then another one ends than the catalogue's.
    before = season_on(averages, day - 2 * _DAY)
    ends = ends if before == begins else before
    if now.low_share == low_vents_share(coop, ends) and not now.draught:
        return None
    return _TITLES[now.dry_by](setting=now.words), joined(" ", (now.helps, expected(now)))


def expected(setting: Setting) -> Text:
    """The air to expect inside, in whole sentences; "" where it is not known."""
    said: list[Text] = []
    if night := setting.night:
        humidity, rise = _percent(night.humidity), reckoned(night.rise_k, "°C rise", 0)
        if round(night.rise_k):
            said.append(filled(AirExpected.night, humidity=humidity, rise=rise))
        else:
            said.append(AirExpected.hardly_night(humidity=humidity))
        if setting.breeze:
            windy = _percent(setting.breeze.humidity)
            same = windy == humidity
            said.append(AirExpected.no_breeze() if same else AirExpected.breeze(humidity=windy))
        if drier := _DRIER.get(setting.dry_by):
            said.append(drier())
    if day := setting.day:
        rise = reckoned(day.rise_k, "°C rise", 0)
        warmer = round(day.rise_k) > 0
        said.append(filled(AirExpected.day, rise=rise) if warmer else AirExpected.hardly_day())
    return joined(" ", said)


def _percent(humidity: float) -> str:
    return f"{100 * humidity:.0f}"


def season_setting(
    profile: Profile, coop: Coop, season: Season, day: date, averages: Averages
) -> Setting:
    """The setting of the coop's vents for the season, by the average weather of that season.

    The air among chicks on heat is not reckoned: what keeps them warm warms and dries it.
    """
    found = setting(coop, _birds(profile, coop, day), season, season_weather(averages, season))
    if not all_on_heat(profile.flocks_on(coop.id, day), day):
        return found
    return replace(
        found,
        night=None,
        breeze=None,
        day=None,
        dry_by="dry",
        helps=found.known,
        met=not found.known,
    )


def _birds(profile: Profile, coop: Coop, day: date) -> tuple[Group, ...]:
    return groups(profile.flocks_on(coop.id, day), day)
