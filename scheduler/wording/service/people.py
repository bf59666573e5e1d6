"""Who is not reached for want of a secret."""

from scheduler.wording.words import Words


class NotGiven:
    """A secret is missing: how to give it, and what does not go out until then."""

    in_file = Words(
        "{how}. The reminders keep looking at that file. Until it is there, nothing goes out by "
        "{way}."
    )
    given_anew = Words(
        "{how}, where the reminders run. A systemd credential works too. Until it is there, "
        "nothing goes out by {way}."
    )
    cut_off = Words("{names} cannot be told in any other way.")
