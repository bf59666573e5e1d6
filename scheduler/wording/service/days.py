"""Of which day nobody can say something any more, or yet."""

from scheduler.wording.words import Words


class DaySpokenOf:
    """What is accepted as an evening or a day, and what is asked about one long ago."""

    past_evening = Words("tonight or an evening before")
    past_day = Words("today or a day before")
    recent_evening = Words("an evening in the last {days} {days:day|days}")
    recent_day = Words("a day in the last {days} {days:day|days}")
    which_evening = Words("That is too long ago to note now. Which evening do you mean?")
    which_day = Words("That is too long ago to note now. Which day do you mean?")
