"""When a door is shut and opened, as far as the keeper says so."""

from datetime import time
from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.field_readers import one_of
from scheduler.profile.fields import Minutes, OptionalWallTime, SunAngle, WallTime
from scheduler.profile.frozen_table import Value

LockUpBasis = Literal["light", "angle", "sunset", "visible sunset", "civil dusk"]
LetOutBasis = Literal["civil dawn", "sunrise", "visible sunrise"]


class LockUpRule(Value):
    """When the door is shut in the evening."""

    basis: Annotated[LockUpBasis, one_of(LockUpBasis)] = Field(
        default="light",
        description="what sets the time: light is the earlier of `angle` and `after_sunset`",
    )
    angle_deg: SunAngle = Field(
        default=-4.0, description="elevation of the sun for the bases light and angle"
    )
    after_sunset_minutes: Minutes = Field(
        default=40.0, description="minutes after sunset for the bases light, sunset, visible sunset"
    )
    cap: OptionalWallTime = Field(
        default=time(22, 30), description='clock time nobody stays up past, or "none"'
    )
    not_after: OptionalWallTime = Field(
        default=None, description="never lock up after this time of day"
    )
    not_before: OptionalWallTime = Field(
        default=None,
        description="never lock up before this time of day, but no later than the latest",
    )
    no_sun: WallTime = Field(
        default=time(16), description="lock-up on days on which the sun does not rise"
    )


class LetOutRule(Value):
    """When the door is opened in the morning."""

    basis: Annotated[LetOutBasis, one_of(LetOutBasis)] | None = Field(
        default=None,
        description="civil dawn (default for a secure run), sunrise (open ground), visible sunrise",
    )
    after_minutes: Minutes | None = Field(
        default=None, description="minutes after the basis; 0 for a secure run, 30 on open ground"
    )
    not_before: OptionalWallTime = Field(
        default=time(6, 30), description="never let out before this time of day"
    )
    not_after: OptionalWallTime = Field(
        default=time(9),
        description="never let out after this time of day; by default for a secure run only",
    )
    no_sun: WallTime = Field(default=time(7), description="let-out on days without dawn or sunrise")
