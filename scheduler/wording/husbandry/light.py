"""The figures of the day's length and of a lamp."""

from scheduler.wording.words import Words


class LampFigures:
    """The light of the lamp against what layers are given."""

    label = Words("light of the lamp")
    where = Words("at bird height")
    usual = Words("{least} to {most} lux is usual")
    dim = Words("dim: {least} to {most} lux is usual, measured at the birds' heads")
    bright = Words("bright: {least} to {most} lux is usual; in bright light birds peck more")


class DayLength:
    """How long the day is, and the light that makes up for it."""

    label = Words("day length")
    programme = Words("light programme, as chosen")
    programme_if_chosen = Words("light programme, if you choose one")
    short_days = Words("days are shorter from {first} to {last}")
    short_days_no_lamp = Words(
        "days are shorter from {first} to {last}; no lamp is just as good a choice"
    )
    no_lamp = Words("no lamp is just as good a choice")
    too_young = Words("not for birds under {weeks} weeks: they need short days")
