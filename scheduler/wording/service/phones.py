"""Phones of people's own that are not known to ring, or that nothing is heard from."""

from scheduler.wording.words import Words


class PhonesHeard:
    """What is wrong with a phone, and what to do about it."""

    silent = Words("{who}'s phone ({phone}) has shown no message since {day}.")
    not_ringing = Words("{who} has said that their phone ({phone}) does not ring.")
    untried = Words("Nobody has said yet whether {who}'s phone ({phone}) rings.")
    other_key = Words(
        "{who}'s phone ({phone}) cannot be rung: Duskfold's key for phones is another."
    )
    gone = Words("{who}'s phone ({phone}) has not been rung since {day}: its browser gave it up.")
    signed_out = Words("{who}'s phone ({phone}) has not been rung since {day}: it was signed out.")
    ends_soon = Words("{who}'s phone ({phone}) stops ringing on {day}.")
    use_it = Words("Open Duskfold on it before that: a device that is not used is signed out.")
    open_it = Words("Open the page Alert this phone on it, ring it, and say whether it rang.")
    again = Words("Open the page Alert this phone on it, and set it up again.")
    not_tried = Words("nobody has said yet that it rings")
