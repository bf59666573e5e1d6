"""How much snow lies on a roof: what has fallen since the last thaw, by what was decided."""

from collections.abc import Iterable
from datetime import date, timedelta

from scheduler.cares.decided import DecidedDay

_KG_M2_A_CM = 1.4  # 7 cm of fresh snow are 10 mm of water (Open-Meteo's documentation)
# A day that reaches it thaws, and a roof is cleared from that load on; common practice, no source.
_THAW_C = 2.0
CLEAR_FROM_KG_M2 = 25.0
_DAY = timedelta(days=1)


def snow_load_kg_m2(weather: Iterable[DecidedDay], day: date) -> float:
    """What has fallen up to that day since a day that thawed, or that nothing is known of."""
    known = {one.day: one.weather for one in weather}
    total = 0.0
    while (of := known.get(day)) is not None and of.high_c.value < _THAW_C:
        total += (of.snow_cm.value if of.snow_cm else 0.0) * _KG_M2_A_CM
        day -= _DAY
    return total
