"""What is said beside a field of the first run, and of a place."""

from scheduler.wording.words import Words


class WrongAnswers:
    """Why an answer cannot be used."""

    unusable = Words('"{typed}" cannot be used. Use {accepted}.')
    unusable_hint = Words('"{typed}" cannot be used. Use {accepted}. {hint}')
    nothing = Words("There is nothing here yet. Use {accepted}.")
    no_birds = Words("Say how many birds live there: at least one.")
    not_yet = Words("Give the day they came. Birds still to come can be added on that day.")
    too_many_people = Words(
        "{most} people at most can be named here. More can be added once this is done."
    )
    same_house = Words("Another house is called that already. Give each a name of its own.")
    same_person = Words("Two people are called {name}. Tell them apart, by an initial for example.")
    no_mail_address = Words("To send them mail, Duskfold needs their email address.")
    no_push_server = Words(
        "To send them push messages, Duskfold needs the address of the push server that their "
        "app uses."
    )
    push_server = Words('the address of a push server, such as "https://push.example.net"')
    no_choice = Words("Choose one.")
    no_mail_server = Words("Mail needs a server that sends it. Your mail provider names it.")
    no_https = Words(
        "From anywhere, these pages need an address that begins with https://, such as "
        "https://hens.example.org."
    )
    no_date = Words('"{typed}" is not a date. Write it as year, month and day: 2026-04-01.')
    no_place = Words("Write the name of a place, or its latitude and longitude.")
    unknown_place = Words(
        "No place called {typed} is known here, and small ones are missing. Try the nearest "
        "village or town, or give latitude and longitude."
    )
    nearest_places = Words("No place called {typed} is known here. Did you mean one of these?")


class PlaceFound:
    """Where a place is, and when it gets dark there."""

    near = Words("Near {place}.")
    at = Words("At {latitude}, {longitude}, by the clocks of {zone}.")
    dusk = Words("Dusk tonight is {time}.")
    dusk_on = Words("Dusk on {day} is {time}.")
    no_dusk = Words("It does not get dark tonight.")
    no_dusk_on = Words("It does not get dark on {day}.")
    dark_all_day = Words("It is dark all day today.")
    dark_all_day_on = Words("It is dark all day on {day}.")
