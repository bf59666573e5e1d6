"""What is said beside each input about the door's times and the messages about it."""

from scheduler.wording.words import Words


class LockUpRuleLabels:
    """What the keys of the lock-up are called."""

    basis = Words("Lock-up goes by")
    angle = Words("Sun below the horizon, in degrees")
    after_sunset = Words("Time after sunset")
    cap = Words("Lock-up is never later than")
    not_after = Words("Never lock up after")
    not_before = Words("Never lock up before")
    no_sun = Words("Lock-up on days without sun")


class LockUpRulePurposes:
    """What the keys of the lock-up are for."""

    angle = Words("A minus sign stands for below: at -4 the birds sit and it is not yet dark.")
    after_sunset = Words("How long birds take to go in after the sun has gone.")
    cap = Words("In bright summer nights nobody has to stay up longer.")
    not_after = Words("The door is shut by then even if it is light.")
    not_before = Words("It holds unless the door must be shut sooner.")
    no_sun = Words("In polar winter there is no dusk to go by.")


class LockUpBasisChoices:
    """What lock-up can go by."""

    light = Words("light: when it is as dim as birds like it")
    angle = Words("how far the sun is below the horizon")
    sunset = Words("sunset")
    visible_sunset = Words("when the sun goes behind the trees or the hill")
    civil_dusk = Words("the end of civil twilight")


class LetOutRuleLabels:
    """What the keys of the let-out are called."""

    basis = Words("Let-out goes by")
    after = Words("Time after that")
    not_before = Words("Never let out before")
    not_after = Words("Never let out after")
    no_sun = Words("Let-out on days without sun")


class LetOutRulePurposes:
    """What the keys of the let-out are for."""

    basis = Words("If nothing is said, it is dawn for a secure run and sunrise on open ground.")
    after = Words("On open ground it gives foxes time to go home.")
    not_before = Words("Neighbours and you can sleep in summer.")
    not_after = Words("In winter birds do not wait for the sun.")
    no_sun = Words("In polar winter there is no dawn to go by.")


class LetOutBasisChoices:
    """What let-out can go by."""

    civil_dawn = Words("the beginning of civil twilight")
    sunrise = Words("sunrise")
    visible_sunrise = Words("when the sun comes over the trees or the hill")


class RemindersLabels:
    """What the keys of the reminders are called."""

    style = Words("How it goes on while nobody answers")
    steps = Words("Which reminders come")
    heads_up = Words("First message before lock-up")
    everybody = Words("When everybody is told")
    bedtime = Words("Bedtime")
    letout = Words("Message about letting out")
    brief = Words("Morning brief")


class RemindersPurposes:
    """What the keys of the reminders are for."""

    steps = Words("If none is ticked, the ones that go with the choice above come.")
    heads_up = Words("Long enough to get home and to the house.")
    everybody = Words("Counted from when the door must be shut, with commas between them.")
    bedtime = Words("The last message of the evening, unless it goes on all night.")
    brief = Words("What the day brings. Without a time there is none.")


class StyleChoices:
    """How reminders can go on."""

    gentle = Words("gently")
    standard = Words("as usual")
    all_night = Words("all night, every hour")


class StepsChoices:
    """The reminders that can come."""

    heads_up = Words("before lock-up")
    now = Words("at lock-up")
    again = Words("again, to whoever locks up")
    next = Words("to the next person")
    everybody = Words("to everybody")
    hourly = Words("every hour")
    bedtime = Words("at bedtime")
    dawn = Words("before dawn")


class LetOutMessageChoices:
    """When a message about letting out can come."""

    heat = Words("on hot days only")
    gentle = Words("every day, quietly")
    loud = Words("every day, loudly")
    none = Words("never")
