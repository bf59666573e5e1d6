"""What the page "Alert this phone" says of phones, and what it asks."""

from scheduler.wording.words import Words


class PhoneStands:
    """How a phone stands, as its person said last, or as it is known otherwise."""

    untried = Words("not tried yet")
    yes = Words("rang on {day}")
    silent = Words("was silent on {day}")
    no = Words("did not ring on {day}")
    quiet_yes = Words("rings with Do Not Disturb on, too")
    quiet_silent = Words("stays silent while Do Not Disturb is on")
    quiet_no = Words("shows nothing while Do Not Disturb is on")
    heard = Words("last heard from on {day}")


class PhoneNotAdded:
    """Why the browser's address was not kept."""

    too_many = Words(
        "You have {count} phones and other devices that ring already. Remove one of them, then "
        "try again."
    )
    cannot_be_used = Words("This browser cannot be rung: {why}.")
    key_of_others = Words(
        "Duskfold runs on several machines here, and this one has another key for phones than the "
        "others. Whoever looks after them has to give each the same."
    )
    other_key = Words("The page was too old for that. Load it again, then press the button again.")


class RemovePhone:
    """The question before a phone is removed, and its button."""

    title = Words("Stop alerting {phone}?")
    text = Words(
        "It will not ring at dusk any more. It stays signed in, and it can be set up again on the "
        "phone itself."
    )
    last = Words(
        "It will not ring at dusk any more, and nothing else reaches {who}. It can be set up "
        "again on the phone itself."
    )
    yes = Words("Yes, stop alerting it")


class PhoneRung:
    """What came of a test message to one phone."""

    handed_over = Words("Sent to {phone}.")
    failed = Words("Nothing was sent to {phone}. {why}.")
    no_way = Words("it is not set up any more")


class IfSilent:
    """What keeps a phone silent, by its kind: each is one thing to look at."""

    iphone_focus = Words(
        "Settings, Focus: look at each Focus that may be on at dusk, Do Not Disturb and Sleep "
        "above all, and allow Duskfold under Apps."
    )
    iphone_sounds = Words(
        "Settings, Notifications, Duskfold: Allow Notifications and Sounds must be on, and not in "
        "the Scheduled Summary."
    )
    iphone_switch = Words("The switch or button on the side of the phone: it must not be silent.")
    android_sound = Words(
        "Hold your finger on the message, then press its settings: choose Alerting or Default, not "
        "Silent, and a sound."
    )
    android_quiet = Words(
        "Settings, Notifications, Do Not Disturb, Apps: add the browser, or Duskfold if it is on "
        "your home screen."
    )
    android_battery = Words(
        "Settings, Apps, the browser, Battery: choose Unrestricted, so that it is not put to sleep."
    )
    android_volume = Words("The volume for notifications, which is not the one for calls.")
    computer_sound = Words(
        "The system's settings for notifications: the browser must be allowed to show them and to "
        "make a sound."
    )
    computer_quiet = Words("Do Not Disturb or Focus in the system's settings: switch it off.")
    computer_runs = Words("A computer rings only while it is awake and the browser is running.")


class PushApp:
    """What came of setting up the push app instead, and what is wrong with what was typed."""

    no_server = Words("Say which push server, such as https://push.example.net.")
    bad_server = Words('"{typed}" cannot be used. Use {accepted}.')
    no_such_person = Words("That person is not here any more. Choose another.")
