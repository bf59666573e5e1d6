"""What a page says by itself, after it was loaded; the script fills in the places."""

from scheduler.wording.words import Words


class OnThePage:
    """Taps that wait, the time, what can be copied."""

    will_be_sent = Words("Saved, not sent yet.")
    waiting = Words("Saved on this phone. It will be sent when you have reception: {taps}.")
    take_back = Words("Take it back")
    take_back_last = Words("Take the last one back")
    did_not_count = Words("This did not count: {tap}.")
    did_not_count_because = Words("This did not count: {tap}. {why}.")
    say_again = Words("Look at the page, and say it again if it is still true.")
    got_it = Words("Got it")
    not_saved = Words("That was not saved. Load the page again, and say it once more.")
    cannot_save = Words(
        "There is no reception, and this browser cannot save anything. Say it again later: {tap}."
    )
    tap_at = Words("{tap} ({time})")
    said_of = Words("{about}: {said}")
    no_connection = Words("Offline, as of {time}. What you press is kept, and sent later.")
    copy = Words("Copy")
    copy_of = Words("Copy: {what}")
    copied = Words("Copied")
