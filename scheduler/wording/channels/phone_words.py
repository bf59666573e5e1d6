"""What is said of ringing somebody's own phone, and what a phone says itself."""

from scheduler.wording.words import Words


class WhyNotSubscribed:
    """Why a browser's subscription is not taken, and nothing is sent to it; kept (`told_later`)."""

    no_address = Words("this is not the address of a push service")
    unknown_service = Words("this browser's push service is not one that Duskfold knows")
    no_key = Words("this is not a key that a browser gives")


class WhyNotRung:
    """Why a message did not get to a phone, as the journal keeps it (`told_later`)."""

    no_hold = Words("phone alerts cannot be held")
    no_such = Words("this phone is not set up any more")
    other_key = Words("this phone must be set up again: the key that rings phones is another now")
    not_installed = Words("what seals messages for phones cannot be loaded ({error})")
    gone = Words("this phone does not take messages any more ({status})")
    not_let_in = Words("the push service does not believe the key that rings phones ({status})")
    moved = Words("the push service has moved ({status})")
    too_long = Words("the push service finds the message too long ({status})")
    busy = Words("the push service is busy or broken ({status})")
    refused = Words("the push service refused ({status})")


class PhoneSays:
    """What a phone shows of an answer that was pressed on it; it fills in the time itself."""

    kept = Words("Not yet told to Duskfold. Tap to say it on the page.")
    told = Words("Duskfold knows: shut at {time}.")
    lost = Words("That did not count: something else was said since. Tap to look.")
    waits = Words("You said shut at {time}. Not told yet: no reception.")
