"""The figures of one coop on one day, each with unit, inputs and source."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import ceil, floor

from scheduler.husbandry.age import (
    OFF_HEAT_WEEKS,
    all_on_heat,
    lays,
    on_heat,
    some_on_heat,
    weeks_old,
)
from scheduler.husbandry.air import (
    SUMMER_RISE_K,
    TARGET_HUMIDITY,
    Weather,
    wanted_for_co2_m3_h,
    wanted_for_heat_m3_h,
    wanted_for_moisture_m3_h,
)
from scheduler.husbandry.consumption import (
    capacity_l,
    days_fed,
    drinker_days,
    feed_g_a_day,
    floor_load,
    has_open_water,
    manure_g_a_day,
    reorder_on,
    water_l_a_day,
    water_source,
)
from scheduler.husbandry.figure import (
    ASHRAE,
    CIGR,
    CLAUER,
    COMMON_PRACTICE,
    CSU_2502,
    LOHMANN,
    NRC,
    OSU_804,
    Figure,
    Source,
)
from scheduler.husbandry.groups import Group, eggs_a_week, groups, head_count, left_out
from scheduler.husbandry.growth import (
    OFF_HEAT_NIGHT_C,
    brooder_c,
    feed_for,
    feed_kind,
    lay_share,
)
from scheduler.husbandry.heat import (
    SENSIBLE_UP_TO_C,
    heat_index_f,
    output,
    stress_class,
    wet_bulb_c,
)
from scheduler.husbandry.lighting import LUX_LEAST, LUX_MOST, LUX_SOURCE, MORRIS, NOT_BEFORE_WEEKS
from scheduler.husbandry.needs import GROWN_WEEKS, floor_of_the_young_m2
from scheduler.husbandry.upkeep import STIR_MOST_A_WEEK, stirs_a_week, top_up_days
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile

# What a bag holds where it is sold: 20 kg, or 50 lb.
BAG_KG = {"metric": 20.0, "uk": 20.0, "us": 22.68}
DELIVERY_DAYS = 7
FEED_KEEPS_DAYS = 56  # once opened, cool and dry, common practice, no source
_TOO_LARGE = "opened feed keeps about 8 weeks: buy a smaller bag"
_EATS_MORE = 1.05  # growth that shows in how long a bag lasts
_WARM_DAY_C = 27.0  # the first heat step, common practice, no source
_THI = Source(
    "Hy-Line, Understanding Heat Stress in Layers (70), OMAFRA heat stress app (81); formula and "
    "danger from 76 from memory",
    "P",
)
_USUAL_EGGS = "a fifth more or fewer is usual"
_WORKED_OUT = Source("worked out from the figures above", "D")


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The weather and light that the figures are for; `lamp_season` holds the day or follows.

    `lit` is how long birds have light where a lamp programme is chosen, by the coop's id.
    """

    day: date
    night: Weather
    noon: Weather
    daylight: timedelta
    light_hours: float
    lamp_season: tuple[date, date] | None
    lit: Mapping[str, timedelta] = field(default_factory=dict)

    def light(self, coop: Coop) -> timedelta:
        """How long the birds of that coop have light: by day, or by its lamp."""
        return self.lit.get(coop.id, self.daylight)


def figures(profile: Profile, coop: Coop, at: Day) -> Iterator[Figure]:
    """The figures of the coop; what cannot be known says what to measure."""
    flocks = profile.flocks_on(coop.id, at.day)
    birds = groups(flocks, at.day, at.light(coop))
    count = head_count(birds)
    if ducks := left_out(flocks):
        yield Figure(
            key="left-out", label="birds without figures", value=float(ducks), unit="",
            source=COMMON_PRACTICE, note="ducks and others are in none of the figures below",
        )  # fmt: skip
    if not birds:
        return
    yield from _heat_and_air(birds, count, at)
    yield from _water_and_feed(coop, flocks, birds, at, BAG_KG[profile.units])
    yield from _eggs(coop, flocks, birds, at)
    yield from _young(flocks, at)
    yield from _bedding(coop, flocks, birds, at)
    if not all_on_heat(flocks, at.day):
        yield from _heat_stress(at)
    yield from _daylight(coop, at, any(_may_be_lit(flock, at.day) for flock in flocks))
    yield from _lamp(coop)


def _heat_and_air(birds: tuple[Group, ...], count: int, at: Day) -> Iterator[Figure]:
    night, noon = output(birds, at.night.air_c), output(birds, at.noon.air_c)
    inputs = (f"{count} birds", f"{at.night.air_c:.1f} °C at night")
    yield Figure(
        key="heat", label="heat of the birds", value=night.total_w, unit="W", source=CIGR,
        inputs=inputs,
    )  # fmt: skip
    beyond = f"not reckoned above {SENSIBLE_UP_TO_C:.0f} °C"
    yield Figure(
        key="warmth", label="of it warming the air",
        value=None if night.extrapolated else night.sensible_w, unit="W", source=CIGR,
        inputs=inputs, note=beyond if night.extrapolated else "",
    )  # fmt: skip
    yield Figure(
        key="moisture", label="moisture of the birds", value=night.moisture_kg_h * 24,
        unit="kg/day", source=CIGR, inputs=inputs,
    )  # fmt: skip
    inside_c = at.night.air_c + SUMMER_RISE_K
    wanted = wanted_for_moisture_m3_h(night, inside_c, at.night)
    yield Figure(
        key="air-moisture", label="air wanted against moisture", value=wanted, unit="m³/h",
        source=CIGR, inputs=(*inputs, f"{at.night.humidity:.0%} outside",
        f"{TARGET_HUMIDITY:.0%} inside, a fifth to spare"),
        note="" if wanted is not None else "no amount of this damp air dries the house",
    )  # fmt: skip
    yield Figure(
        key="air-co2", label="air wanted against carbon dioxide", value=wanted_for_co2_m3_h(night),
        unit="m³/h", source=LOHMANN, inputs=(*inputs, "3000 ppm"),
    )  # fmt: skip
    yield Figure(
        key="air-heat", label="air wanted by day, 2 °C above the shade",
        value=None if noon.extrapolated else wanted_for_heat_m3_h(noon), unit="m³/h", source=CIGR,
        inputs=(f"{count} birds", f"{at.noon.air_c:.1f} °C by day"),
        note=f"{beyond}: open everything, move the air" if noon.extrapolated else "",
    )  # fmt: skip


def _water_and_feed(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, bag_kg: float
) -> Iterator[Figure]:
    count = head_count(birds)
    water_l = water_l_a_day(birds, at.noon.air_c)
    inputs = (f"{count} birds", f"{at.noon.air_c:.1f} °C by day")
    yield Figure(
        key="water", label="water a day", value=water_l, unit="L",
        source=water_source(at.noon.air_c), inputs=inputs,
    )  # fmt: skip
    holds_l = capacity_l(coop)
    yield Figure(
        key="drinker-days", label="full drinkers last",
        value=None if holds_l is None else drinker_days(holds_l, water_l), unit="days",
        source=_WORKED_OUT, inputs=inputs,
        note=_drinker_note(coop, holds_l),
    )  # fmt: skip
    mean_c = (at.night.air_c + at.noon.air_c) / 2
    feed_g = feed_g_a_day(birds, mean_c)
    yield from _feeder_days(coop, feed_g)
    yield Figure(
        key="feed", label="feed a day", value=feed_g / 1000, unit="kg", source=NRC,
        inputs=(
            f"{count} birds", f"{mean_c:.1f} °C",
            *_eggs_in_feed(flocks, birds, at, at.light(coop)),
        ),
        note=feed_kind(flocks, at.day),
    )  # fmt: skip
    lasts = days_fed(bag_kg, _fed(flocks, at.day, at.light(coop), mean_c))
    last_g = _fed_on(flocks, at.day + timedelta(days=int(lasts)), at.light(coop), mean_c)
    grows = last_g > feed_g * _EATS_MORE
    yield Figure(
        key="bag", label=f"a {bag_kg:g} kg bag lasts", value=lasts, unit="days",
        source=_WORKED_OUT,
        inputs=(
            (f"{feed_g / 1000:.4f} kg a day now", f"{last_g / 1000:.4f} kg by then") if grows
            else (f"{feed_g / 1000:.4f} kg a day",)
        ),
        note=_bag_note(flocks, at.day, lasts),
    )  # fmt: skip
    yield Figure(
        key="manure", label="manure a day", value=manure_g_a_day(feed_g) / 1000, unit="kg",
        source=OSU_804, inputs=(f"{feed_g / 1000:.4f} kg feed",),
    )  # fmt: skip


def _bag_note(flocks: tuple[Flock, ...], day: date, lasts: float) -> str:
    """When to order the next bag, or of the feed that they grow into before this one is empty."""
    given = feed_for(flocks, day)
    for n in range(1, ceil(lasts)):
        later = day + timedelta(days=n)
        if (feed := feed_for(flocks, later)) != given:
            by = _said(reorder_on(day, n, DELIVERY_DAYS))
            return (
                f"{feed} feed from {_said(later)} on: order it by {by} "
                f"({DELIVERY_DAYS} days' delivery); of this one buy a smaller bag"
            )
    if lasts > FEED_KEEPS_DAYS:
        return _TOO_LARGE
    by = _said(reorder_on(day, lasts, DELIVERY_DAYS))
    return f"opened today, order the next by {by} ({DELIVERY_DAYS} days' delivery)"


def _said(day: date) -> str:
    return f"{day.day} {day:%B}"


def _fed(flocks: tuple[Flock, ...], day: date, light: timedelta, air_c: float) -> Iterator[float]:
    """The feed of each day from this one on: growing birds eat more by the week."""
    for n in itertools.count():
        yield _fed_on(flocks, day + timedelta(days=n), light, air_c)


def _fed_on(flocks: tuple[Flock, ...], day: date, light: timedelta, air_c: float) -> float:
    return feed_g_a_day(groups(flocks, day, light), air_c)


def _drinker_note(coop: Coop, holds_l: float | None) -> str:
    if not holds_l:
        return "unknown: read the drinkers' capacity"
    often = "at open drinkers twice a day" if has_open_water(coop) else "daily all the same"
    return f"look {often}"


def _eggs_in_feed(
    flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, light: timedelta
) -> Iterator[str]:
    """The eggs that the feed is reckoned for, assumed where an age is not known."""
    if not any(group.laying for group in birds):
        return
    eggs = round(eggs_a_week(birds))
    assumed = None in _shares_laying(flocks, at, light)
    yield f"{eggs} egg{'' if eggs == 1 else 's'} a week{' assumed' if assumed else ''}"


def _shares_laying(flocks: tuple[Flock, ...], at: Day, light: timedelta) -> list[float | None]:
    return [lay_share(f, at.day, light) for f in flocks if f.hens and lays(f, at.day)]


def _feeder_days(coop: Coop, feed_g: float) -> Iterator[Figure]:
    """Days between fills, where there are feeders."""
    if not coop.feeder:
        return
    known = [feeder.capacity_kg for feeder in coop.feeder]
    holds_kg = sum(kg * feeder.count for kg, feeder in zip(known, coop.feeder, strict=True) if kg)
    missing = None in known
    yield Figure(
        key="feeder-days", label="full feeders last",
        value=None if missing else holds_kg * 1000 / feed_g, unit="days", source=_WORKED_OUT,
        inputs=() if missing else (f"{holds_kg:.1f} kg", f"{feed_g / 1000:.4f} kg a day"),
        note="unknown: read the feeders' capacity" if missing else "look daily all the same",
    )  # fmt: skip


def _lamp(coop: Coop) -> Iterator[Figure]:
    """The light of the lamp against what layers are given."""
    lux = coop.light.lux if coop.light else None
    if lux is None:
        return
    if lux < LUX_LEAST:
        note = f"dim: {LUX_LEAST} to {LUX_MOST} lux are usual, measured at the birds' heads"
    elif lux > LUX_MOST:
        note = f"bright: {LUX_LEAST} to {LUX_MOST} lux are usual; in bright light birds peck more"
    else:
        note = f"{LUX_LEAST} to {LUX_MOST} lux are usual"
    yield Figure(
        key="lamp-lux", label="light of the lamp", value=float(lux), unit="lux",
        source=LUX_SOURCE, inputs=("at bird height",), note=note,
    )  # fmt: skip


def _bedding(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day
) -> Iterator[Figure]:
    mean_c = (at.night.air_c + at.noon.air_c) / 2
    load = floor_load(coop, birds, mean_c)
    inputs = (f"{head_count(birds)} birds", f"{coop.floor.area_m2:.1f} m²") if coop.floor else ()
    missing = "" if load else "unknown: measure the floor inside"
    yield Figure(
        key="bedding-moisture", label="moisture on the bedding",
        value=load.water_g_m2_day if load else None, unit="g/m² a day", source=COMMON_PRACTICE,
        inputs=inputs, note=missing,
    )  # fmt: skip
    if all_on_heat(flocks, at.day):  # a brooder is not stirred through
        return
    but = " (not the chicks')" if some_on_heat(flocks, at.day) else ""
    yield Figure(
        key="stirring", label=f"stir the bedding{but}",
        value=float(stirs_a_week(load)) if load else None, unit="× a week",
        source=COMMON_PRACTICE, inputs=inputs,
        note=missing or f"1 to {STIR_MOST_A_WEEK}: the wetter the floor, the more often",
    )  # fmt: skip
    yield Figure(
        key="top-up", label=f"top up the bedding{but} every",
        value=float(top_up_days(load)) if load else None, unit="days", source=COMMON_PRACTICE,
        inputs=inputs, note=missing or "14, 28 or 56: the wetter the floor, the more often",
    )  # fmt: skip


def _eggs(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day
) -> Iterator[Figure]:
    """What the hens lay that are fed for it; of an unknown age only the feed is reckoned."""
    light = at.light(coop)
    shares = _shares_laying(flocks, at, light)
    if not any(share is None or share for share in shares):
        return
    missing = None in shares
    by = "with your lamp" if light > at.daylight else "by daylight"
    yield Figure(
        key="eggs", label="eggs to expect a week",
        value=None if missing else eggs_a_week(birds), unit="", source=COMMON_PRACTICE,
        inputs=(f"{light / timedelta(hours=1):.1f} h of light, {by}",),
        note="unknown: give a hatch date or an age" if missing else _USUAL_EGGS,
    )  # fmt: skip


def _young(flocks: tuple[Flock, ...], at: Day) -> Iterator[Figure]:
    for flock in flocks:
        weeks = weeks_old(flock, at.day)
        warm = on_heat(flock, at.day)
        # Chicks that their keeper counts as the hens they will be are chicks all the same.
        young = flock.young or (flock.hens + flock.roosters if warm else 0)
        if not young or weeks is None or weeks < 0:
            continue
        inputs = (f"{young} young", f"week {int(weeks) + 1}")
        if warm:
            low_c, high_c = brooder_c(weeks)
            more = f"{floor(high_c - low_c)} °C more at most; " if high_c > low_c else ""
            yield Figure(
                key="brooder", label=f"{flock.name}: warmth at chick height, at least",
                value=low_c, unit="°C", least=True, source=CSU_2502, inputs=inputs,
                note=f"{more}off heat from week "
                f"{OFF_HEAT_WEEKS + 1} in nights over {OFF_HEAT_NIGHT_C:.0f} °C; "
                "huddled is cold, at the far edges is hot",
            )  # fmt: skip
        if not flock.young:
            continue
        yield Figure(
            key="young-floor", label=f"{flock.name}: floor for the young",
            value=floor_of_the_young_m2(flock, at.day).least, unit="m²", least=True,
            source=CLAUER if weeks < GROWN_WEEKS else COMMON_PRACTICE, inputs=inputs,
        )  # fmt: skip


def _heat_stress(at: Day) -> Iterator[Figure]:
    # To a tenth, as it is shown: 75.97 is no "76, alert".
    index = round(heat_index_f(at.noon.air_c, at.noon.humidity), 1)
    zone = stress_class(index)
    yield Figure(
        key="heat-index", label=f"heat index by day: {'no strain' if zone == 'none' else zone}",
        value=index, unit="", digits=1, source=_THI,
        inputs=(f"{at.noon.air_c:.1f} °C", f"{at.noon.humidity:.0%}"),
        note="shade figure: a shut coop in the sun can be 10 °C hotter",
    )  # fmt: skip
    if at.noon.air_c >= _WARM_DAY_C:
        yield Figure(
            key="wet-bulb", label="air off a wet pad, at the coolest",
            value=wet_bulb_c(at.noon.air_c, at.noon.humidity), unit="°C", source=ASHRAE,
            inputs=(f"{at.noon.air_c:.1f} °C", f"{at.noon.humidity:.0%}"),
            note="wet their ground only with moving air or below 70% humidity",
        )  # fmt: skip


def _may_be_lit(flock: Flock, day: date) -> bool:
    weeks = weeks_old(flock, day)
    return lays(flock, day) or (weeks is not None and weeks >= NOT_BEFORE_WEEKS)


def _daylight(coop: Coop, at: Day, of_age: bool) -> Iterator[Figure]:
    yield Figure(
        key="daylight", label="day length", value=at.daylight / timedelta(hours=1), unit="h",
        source=Source("sunrise to sunset at the site", "D"),
    )  # fmt: skip
    chosen = coop.light is not None and coop.light.programme
    label = f"light programme, {'as chosen' if chosen else 'if you choose one'}"
    short_days = _short_days(at.lamp_season)
    choice = "; ".join(filter(None, (short_days, "" if chosen else "no lamp is an equal choice")))
    too_young = f"not for birds under {NOT_BEFORE_WEEKS} weeks: they need short days"
    yield Figure(
        key="light-hours", label=label,
        value=at.light_hours, unit="h", source=MORRIS, note=choice if of_age else too_young,
    )  # fmt: skip


def _short_days(season: tuple[date, date] | None) -> str:
    if not season:
        return ""
    first, last = (f"{day.day} {day:%B %Y}" for day in season)
    return f"days are shorter from {first} to {last}"
