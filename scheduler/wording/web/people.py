"""What the page People says, and what is asked before a device is signed out."""

from scheduler.wording.words import Words


class WrongInvitation:
    """Why no sign-in link was made."""

    nobody = Words('Nobody here is called "{typed}". Choose one of these: {people}.')
    screen = Words('"{typed}" cannot be used. Use {accepted}.')
    no_such_code = Words(
        "No sign-in link has that code. A code works once and for fifteen minutes: ask for another."
    )
    screen_and_hint = Words('"{typed}" cannot be used. Use {accepted}. {hint}')


class SignOut:
    """The question, what follows from it, and the button."""

    this_phone = Words("Sign this phone out?")
    this_device = Words("Sign this device out?")
    somebody = Words("Sign {who} out on {device}?")
    text = Words(
        "To sign in again it needs a new link, from somebody here or from the machine that "
        "Duskfold runs on. The reminders go on as before."
    )
    yes_this_phone = Words("Yes, sign this phone out")
    yes_this_device = Words("Yes, sign this device out")
    yes = Words("Yes, sign out")


class KindOfDevice:
    """What a device is called that has not said what it is."""

    unknown = Words("a device of an unknown kind")
