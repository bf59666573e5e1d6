"""The air of a month of an average year: as people are told it, and as a program reads it."""

from collections.abc import Callable, Sequence

from scheduler.climate.month_air import MonthAir
from scheduler.profile.quantity import in_column, write_quantity
from scheduler.profile.units import Units
from scheduler.wording.service.usual_air import AirRows, FrostNights
from scheduler.wording.words import Words

_HARDLY_ANY = 0.05


def told(month: MonthAir, units: Units) -> dict[str, str]:
    """Its usual low and high, what one in ten passes, and the nights that freeze, by name."""
    return {
        name: write_quantity(air_c, "temperature", units)
        for name, air_c in (
            ("low", month.low_c),
            ("high", month.high_c),
            ("cold", month.cold_c),
            ("hot", month.hot_c),
        )
    } | {"frost": _frost(month)}


def _frost(month: MonthAir) -> str:
    if nights := round(month.frost_nights):
        return FrostNights.some(count=nights, nights=month.nights)
    return FrostNights.hardly_any() if month.frost_nights > _HARDLY_ANY else FrostNights.none()


def columns(months: Sequence[MonthAir], units: Units) -> tuple[str, list[list[str]]]:
    """The unit, and the rows of a table with a column a month, each with its label first.

    As few as fit on one screen with the months' other rows.
    """
    of_air: tuple[tuple[Words, Callable[[MonthAir], float]], ...] = (
        (AirRows.cold, lambda one: one.cold_c),
        (AirRows.hot, lambda one: one.hot_c),
    )
    rows = [
        [label(), *(in_column(of(one), "temperature", units)[0] for one in months)]
        for label, of in of_air
    ]
    rows.append([AirRows.frost(), *map(_nights, months)])
    return in_column(0, "temperature", units)[1], rows


def _nights(month: MonthAir) -> str:
    if nights := round(month.frost_nights):
        return str(nights)
    return "<1" if month.frost_nights > _HARDLY_ANY else "0"


def facts(month: MonthAir) -> dict[str, float]:
    """The JSON of it."""
    return {
        "low_c": round(month.low_c, 1),
        "high_c": round(month.high_c, 1),
        "one_night_in_ten_below_c": round(month.cold_c, 1),
        "one_day_in_ten_above_c": round(month.hot_c, 1),
        "frost_nights": round(month.frost_nights, 1),
    }
