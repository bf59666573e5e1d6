"""What the pages of weather and of birds say of reports."""

from scheduler.wording.words import Words


class WeatherButtons:
    """One tap each."""

    heat = Words("Heat")
    frost = Words("Frost")
    snow = Words("Snow")
    storm = Words("Storm")
    predator = Words("A predator was here")
    order = Words("A housing order")


class PredatorButtons:
    """How close it came."""

    nearby = Words("It was seen nearby")
    tried = Words("It tried to get in")
    got_at = Words("It got at the birds")


class WeatherEnds:
    """The buttons that change a report's last day."""

    has_ended = Words("It has ended")
    is_over = Words("It is over")
    ends_today = Words("It ends today")


class BirdEnds:
    """The buttons that end what was said of birds."""

    broody_one = Words("She is off the nest")
    broody_several = Words("They are off the nest")
    illness_one = Words("Her illness is over")
    illness_several = Words("Their illness is over")
    dose_was_yesterday = Words("The last dose was yesterday")
    dose_is_today = Words("The last dose is today")


class NoneReported:
    """What the page Birds says instead of a list."""

    reported = Words("Nothing has been reported about the birds.")


class ReportEnded:
    """A report was ended: who said so, and how its undo button quotes it."""

    by = Words("{who} ended it, {when}.")
    by_nobody = Words("It was ended, {when}.")
    undo = Words("Undo “it has ended”")


class ReportConfirmed:
    """A report is still in force."""

    by = Words("{who} said it is still in force, {when}.")
    by_nobody = Words("It is still in force, {when}.")
    undo = Words("Undo “still in force”")


class ReportUndone:
    """A report was taken back."""

    by = Words("{who} took it back, {when}.")
    by_nobody = Words("It was taken back, {when}.")
    undo = Words("Undo “taken back”")


class ReportLabel:
    """What the label of a medicine says was noted."""

    by = Words("{who} noted what the label says, {when}.")
    by_nobody = Words("The label was noted, {when}.")
    undo = Words("Undo “what the label says”")


class Reported:
    """By whom and when it was reported, and what has become of it."""

    by_at = Words("Reported by {who}, {when}")
    by = Words("Reported by {who}")
    at = Words("Reported, {when}")
    some_time = Words("Reported")
    when = Words("{day}, {at}")
    taken_back_by = Words("{report}. {reported}. {who} took it back, {when}.")
    taken_back = Words("{report}. {reported}. It was taken back, {when}.")
    already_taken_back = Words(
        "Nothing has changed: that had already been taken back by {who}, {when}."
    )
    already = Words("Nothing has changed: you can see below how it stands now.")


class WrongReport:
    """What could not be used of a form or a button."""

    empty = Words("Fill this in: {accepted}.")
    field = Words("{found} cannot be used. Accepted: {accepted}.")
    field_and_hint = Words("{found} cannot be used. Accepted: {accepted}. {hint}")
    none_of_that_number = Words('There is no report "{number}" below, so nothing has changed.')
