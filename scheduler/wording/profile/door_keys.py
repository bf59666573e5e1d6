"""What the keys of lock-up and let-out are."""

from scheduler.wording.words import Words


class LockUpRuleKeys:
    """What the keys of a rule for lock-up are."""

    basis = Words("what sets the time: light is the earlier of `angle` and `after_sunset`")
    angle = Words("elevation of the sun for the bases light and angle")
    after_sunset = Words("minutes after sunset for the bases light, sunset, visible sunset")
    cap = Words('time of day nobody stays up past, or "none"')
    not_after = Words("never lock up after this time of day")
    not_before = Words("never lock up before this time of day, unless the door must be shut sooner")
    no_sun = Words("lock-up on days when the sun does not rise")


class LetOutRuleKeys:
    """What the keys of a rule for let-out are."""

    basis = Words("civil dawn (default for a secure run), sunrise (open ground), visible sunrise")
    after = Words("minutes after the basis; 0 for a secure run, 30 on open ground")
    not_before = Words("never let out before this time of day")
    not_after = Words("never let out after this time of day; by default for a secure run only")
    no_sun = Words("let-out on days without dawn or sunrise")
