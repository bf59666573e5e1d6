"""What a page says of a form about a door that could not be used."""

from scheduler.wording.words import Words


class WrongDoorForm:
    """Why nothing was saved, and what can be typed or pressed instead."""

    no_door = Words('This page has no door "{door}" on {day}, so nothing was saved.')
    no_button = Words('This page has no button "{button}", so nothing was saved.')
    no_house = Words('There is no house "{house}" this evening, so nothing was saved.')
    no_date = Words('"{typed}" is not a date, so nothing was saved. Load the page again.')
    another_day = Words("Nothing was saved: that page was from {weekday}. This one is up to date.")
    no_longer_here = Words(
        "Nothing has changed: that was about an evening that is no longer on this page."
    )
    how_many = Words("How many are in? If nobody counted, press the button that says so.")
    no_number = Words('"{typed}" is not a number of birds. Type a whole number, 0 or more.')
    typed_and_not_counted = Words(
        "You typed {typed}. If {typed} are in, press the button with that number; if not, "
        "correct it."
    )
    type_a_number = Words("How many? Type a whole number, 0 or more.")
    cannot_reopen = Words("Nobody has said that this door is shut, so it still counts as open.")
    not_saved = Words("That was not saved. Found {found}; accepted: {accepted}.")


class ShutEarly:
    """What is asked when a door is said to be shut hours before its lock-up."""

    title = Words("In for the night already?")
    text = Words(
        "Lock-up is not until {lock_up}, more than three hours from now. If they are in and "
        "staying in, say so, and no reminder will come."
    )
    yes = Words("Yes, shut for the night")
