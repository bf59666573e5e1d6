"""What the page Year says in its picture and its table."""

from scheduler.wording.words import Words


class YearPicture:
    """What whoever cannot see the picture is told, and what stands in it."""

    title = Words("The year of {house}, {first} to {last}")
    about = Words(
        "The hours run across and the dates run down. You see daylight, let-out, free-range time, "
        "sunset, lock-up, the time by which the door must be shut, how the vents are set, and what "
        "changes on which date. The table says the same in words."
    )
    change = Words("{day} · {what}")


class YearTimes:
    """The times of one date, as they are read aloud and by the script."""

    said = Words("{day}: lock up {lock_up}, shut by {latest}, let out {let_out}")
    said_with_range = Words(
        "{day}: lock up {lock_up}, shut by {latest}, let out {let_out}, out from {free_range}"
    )


class YearTable:
    """What stands in a month's row."""

    from_to = Words("{earliest} to {latest}")
    change = Words("{day} · {what}")


class AirPicture:
    """What whoever cannot see the picture of the air is told, and what stands in it."""

    title = Words("The air of an average year")
    about = Words(
        "The months run across. The inner band goes from the usual low to the usual high, and the "
        "outer one shows how cold one night in ten is and how hot one day in ten. Below it is the "
        "chance of frost on each night. The table says the same in words."
    )
    share = Words("{percent} %")
