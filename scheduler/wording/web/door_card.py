"""What stands on the card for the inside of the coop door."""

from scheduler.wording.words import Words


class DoorCardDates:
    """The dates of a row, as short as they can be told."""

    one = Words("{day} {month}")
    within = Words("{first}–{last} {month}")
    over = Words("{first} {first_month} – {last} {last_month}")


class DoorCardNotes:
    """What the card says below its rows, and of its birds."""

    stay_in = Words("stay in")
    of_house = Words("{house}: {birds}")
    forward = Words("The clocks go forward on {day}.")
    back = Words("The clocks go back on {day}.")
