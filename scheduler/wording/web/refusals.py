"""Why a page did not do what was asked of it."""

from scheduler.wording.words import Words


class RefusalTitles:
    """In a few words, as a heading."""

    too_often = Words("You have pressed that too often")
    from_elsewhere = Words("Nothing was saved")
    too_long = Words("That is too long")
    unreadable = Words("That could not be read")
    wrong_method = Words("Nothing was done")
    nameless = Words("Who are you?")
    failed = Words("Something went wrong")
    not_yours = Words("You cannot do that here")


class Refusals:
    """What became of what was sent, and what to do."""

    too_often = Words(
        "This press was not saved. Wait ten minutes, then press again: what you filled in is still "
        "here."
    )
    from_elsewhere = Words(
        "That did not come from a page at this address. Open the page here, and say it there."
    )
    too_long = Words(
        "Nothing was saved. Go back in your browser, where what you typed is still there, and make "
        "it shorter."
    )
    unreadable = Words(
        "Nothing was saved. Go back in your browser, where what you typed is still there, and send "
        "it again."
    )
    wrong_method = Words("That cannot be done at this address.")
    nameless = Words("Nothing was saved. Choose your name beside the button, then press it again.")
    failed = Words("That is a fault in the program. If it was about a door, go and check the door.")


class AnotherName:
    """What is answered to a name that the machine does not go by."""

    line = Words("These pages have another address.")
    title = Words("These pages have another address")
    text = Words(
        "You have reached the right machine, but by a name that it does not go by. Open the "
        "address in your messages, or the one that you put on your home screen. Whoever looks "
        "after Duskfold knows it."
    )


class TooManyTries:
    """What is answered to a source that asks for what there is not, again and again."""

    line = Words("Too many tries. Wait a minute, then try again.")
    title = Words("Too many tries")
    text = Words(
        "Somebody here has asked for too many pages that do not exist. Wait a minute, then load "
        "this page again. If a link still does not work, ask for a new one."
    )


class TurnedAwayAtADoor:
    """What every such page adds."""

    check = Words("Nothing was saved. If it was about a door, go and check the door.")


class ToPrograms:
    """A line for a program that asks for a calendar or for tonight's times."""

    not_found = Words("Not found.")
    ended = Words("This address has ended. Ask whoever looks after Duskfold for a new one.")
    asked_of = Words(
        "Whoever had this address is no longer in the profile, or has another name there. Ask "
        "whoever looks after Duskfold: duskfold check says what to write."
    )
    not_ready = Words("The calendars are not ready yet. Try again in ten seconds.")
    unreadable = Words("Duskfold cannot read its records right now.")


class NoJournal:
    """What the pages go by, or cannot go by, as the terminal says it."""

    not_there = Words(
        "{path} is not there. Start `duskfold serve`: it makes it, or takes the newest copy."
    )
