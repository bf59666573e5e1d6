"""The one clock: nothing else of ours reads the time of day."""

import sys
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import ctypes

_TIMEX_BYTES = 512  # struct timex has 208 on 64 bit
_TIME_ERROR = 5  # adjtimex(2): the clock is not synchronised


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What the clocks show: the time of day, seconds since boot, and seconds awake.

    `boot_s` goes on while the machine sleeps, `monotonic_s` does not. `synchronised` when the
    system says that the time of day comes from the network.
    """

    wall: datetime
    boot_s: float
    monotonic_s: float
    synchronised: bool = False


class Clock(Protocol):
    """Anything that can be read like a clock."""

    def read(self) -> Readings:
        """All three clocks at one moment."""
        ...


class SystemClock:
    """The machine's clocks."""

    def read(self) -> Readings:
        """All three clocks at one moment; where there is none since boot, the monotonic one."""
        monotonic_s = time.monotonic()
        boot = getattr(time, "CLOCK_BOOTTIME", None)
        boot_s = time.clock_gettime(boot) if boot is not None else monotonic_s
        return Readings(
            wall=now(), boot_s=boot_s, monotonic_s=monotonic_s, synchronised=_is_synchronised()
        )


@dataclass(frozen=True, slots=True)
class ShiftedClock:
    """The machine's clocks, the time of day moved by as much, and never called synchronised."""

    ahead: timedelta

    def read(self) -> Readings:
        """All three clocks at one moment."""
        readings = SystemClock().read()
        return replace(readings, wall=readings.wall + self.ahead, synchronised=False)


@cache
def _library() -> "ctypes.CDLL":
    import ctypes  # noqa: PLC0415 - as below

    return ctypes.CDLL(None)


def _is_synchronised() -> bool:
    """What the Linux kernel knows of its clock; False elsewhere."""
    if sys.platform != "linux":
        return False
    import ctypes  # noqa: PLC0415 - only the long-running service asks

    asked = ctypes.create_string_buffer(_TIMEX_BYTES)  # all zero: ask, change nothing
    state = _library().adjtimex(asked)
    return bool(0 <= state < _TIME_ERROR)


def now() -> datetime:
    """This instant, aware UTC."""
    return datetime.now(UTC)
