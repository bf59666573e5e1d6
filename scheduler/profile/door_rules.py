"""When a door is shut and opened, as far as the keeper says so."""

from datetime import time
from typing import Literal

from scheduler.profile.fields import Minutes, OptionalWallTime, SunAngle, WallTime, Word
from scheduler.profile.frozen_table import Value, key

LockUpBasis = Literal["light", "angle", "sunset", "visible sunset", "civil dusk"]
LetOutBasis = Literal["civil dawn", "sunrise", "visible sunrise"]


class LockUpRule(Value):
    """When the door is shut in the evening."""

    basis: Word[LockUpBasis] = key(
        "light", "what sets the time: light is the earlier of `angle` and `after_sunset`"
    )
    angle_deg: SunAngle = key(-4.0, "elevation of the sun for the bases light and angle")
    after_sunset_minutes: Minutes = key(
        40.0, "minutes after sunset for the bases light, sunset, visible sunset"
    )
    cap: OptionalWallTime = key(time(22, 30), 'time of day nobody stays up past, or "none"')
    not_after: OptionalWallTime = key(None, "never lock up after this time of day")
    not_before: OptionalWallTime = key(
        None, "never lock up before this time of day, unless the door must be shut sooner"
    )
    no_sun: WallTime = key(time(16), "lock-up on days when the sun does not rise")


class LetOutRule(Value):
    """When the door is opened in the morning."""

    basis: Word[LetOutBasis] | None = key(
        None, "civil dawn (default for a secure run), sunrise (open ground), visible sunrise"
    )
    after_minutes: Minutes | None = key(
        None, "minutes after the basis; 0 for a secure run, 30 on open ground"
    )
    not_before: OptionalWallTime = key(time(6, 30), "never let out before this time of day")
    not_after: OptionalWallTime = key(
        time(9), "never let out after this time of day; by default for a secure run only"
    )
    no_sun: WallTime = key(time(7), "let-out on days without dawn or sunrise")
