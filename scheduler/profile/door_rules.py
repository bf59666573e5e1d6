"""When a door is shut and opened, as far as the keeper says so."""

from datetime import time
from typing import Literal

from scheduler.profile.fields import Minutes, OptionalWallTime, SunAngle, WallTime, Word
from scheduler.profile.frozen_table import Value, key
from scheduler.wording.profile.door_keys import LetOutRuleKeys, LockUpRuleKeys

LockUpBasis = Literal["light", "angle", "sunset", "visible sunset", "civil dusk"]
LetOutBasis = Literal["civil dawn", "sunrise", "visible sunrise"]


class LockUpRule(Value):
    """When the door is shut in the evening."""

    basis: Word[LockUpBasis] = key("light", LockUpRuleKeys.basis)
    angle_deg: SunAngle = key(-4.0, LockUpRuleKeys.angle)
    after_sunset_minutes: Minutes = key(40.0, LockUpRuleKeys.after_sunset)
    cap: OptionalWallTime = key(time(22, 30), LockUpRuleKeys.cap)
    not_after: OptionalWallTime = key(None, LockUpRuleKeys.not_after)
    not_before: OptionalWallTime = key(None, LockUpRuleKeys.not_before)
    no_sun: WallTime = key(time(16), LockUpRuleKeys.no_sun)


class LetOutRule(Value):
    """When the door is opened in the morning."""

    basis: Word[LetOutBasis] | None = key(None, LetOutRuleKeys.basis)
    after_minutes: Minutes | None = key(None, LetOutRuleKeys.after)
    not_before: OptionalWallTime = key(time(6, 30), LetOutRuleKeys.not_before)
    not_after: OptionalWallTime = key(time(9), LetOutRuleKeys.not_after)
    no_sun: WallTime = key(time(7), LetOutRuleKeys.no_sun)
