"""What the page Week says of its days, and in its picture of the weather."""

from scheduler.wording.words import Words


class WeekPicture:
    """What whoever cannot see the picture is told."""

    title = Words("The weather of seven days")
    about = Words(
        "The days run across, and each has a bar from the night's low to the day's high. A thin "
        "line shows how far off they may be. The bar is pale where nothing but the year's average "
        "is known. The table says the same in words."
    )


class EveningSaid:
    """What was said of a door on an evening, in its day's row."""

    counted = Words("Shut at {at} by {who}, {birds} in")
    not_counted = Words("Shut at {at} by {who}, not counted")
    missing = Words("{said}, {birds} missing")
    unsaid = Words("Nobody said it was shut.")
    of_house = Words("{house}: {said}")


class WrongDate:
    """Why no days could be shown for what was typed."""

    no_date = Words('"{typed}" is not a date. Type one like this: {example}')
    too_far = Words("Choose a date from {first} to {last}.")
