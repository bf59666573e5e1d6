"""What the page Week says in its picture of the weather."""

from scheduler.wording.words import Words


class WeekPicture:
    """What whoever cannot see the picture is told."""

    title = Words("The weather of seven days")
    about = Words(
        "The days run across, and each has a bar from the night's low to the day's high. A thin "
        "line shows how far off they may be. The bar is pale where nothing but the year's average "
        "is known. The table says the same in words."
    )
