"""What the button says that takes back what was said of a door last."""

from scheduler.wording.words import Words


class UndoButton:
    """It quotes what it takes back, and says of which evening where the card is of another."""

    opens = Words("Undo: it is not shut")
    quoted = Words("Undo “{said}”")
    of_last_night = Words("Undo “{said}” for last night")
    of_a_day = Words("Undo “{said}” for {day}")


class SaidOfADoor:
    """What was said, where the button does not quote it as `SaidLast` has it."""

    closed = Words("it was shut")
    counted = Words("{birds} in")
    some_missing = Words("some missing")
    not_counted = Words("not counted")
    not_found = Words("stop looking for tonight")
