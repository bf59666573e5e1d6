"""What is said of a move to another place."""

from scheduler.wording.words import Words


class MoveAhead:
    """What is to be known of a move: in the week before it, and on its day."""

    soon = Words(
        "You move on {day}: all times are the old place's until then, the new place's from that "
        "day on. There the birds stay in until {until}, so that they learn where home is."
    )
    today = Words(
        "You move today: from now on all times are the new place's. The birds stay in until "
        "{until}, so that they learn where home is."
    )


class MoveInCalendar:
    """The day of a move in a calendar."""

    title = Words("Moving day")
    text = Words(
        "From today on all times are those of the new place. Keep the birds in until {until}, so "
        "that they learn where home is."
    )
