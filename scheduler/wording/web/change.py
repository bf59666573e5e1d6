"""What the pages say on which the profile is changed."""

from scheduler.wording.words import Words


class ChangeSections:
    """What the parts of the profile are called."""

    birds = Words("Birds")
    house = Words("Houses")
    run = Words("Runs and ranging")
    people = Words("People")
    alerts = Words("Alerts")
    jobs = Words("Jobs")
    place = Words("Place")
    weather = Words("Weather")
    server = Words("Address and mail")


class SectionHolds:
    """What there is in each of them."""

    birds = Words("flocks, their house, kind and age")
    house = Words("floor, {perch} space, nests, {drinkers}, feeders, vents")
    run = Words("fence, ground, when the birds range")
    people = Words("who is told, how, and what they may do")
    alerts = Words("heads-up, bedtime, times of the door; what tonight would be")
    jobs = Words("which there are, how often, and your own")
    place = Words("where it is, region, units")
    weather = Words("forecast, the year's averages, thermometers")
    server = Words("where people find these pages, and what sends the mail")


class CardTitles:
    """What a card is about."""

    house = Words("The house itself")
    perches = Words("{Perch} space")
    nests = Words("Nests")
    bedding = Words("{Bedding}")
    light = Words("Lamp")
    drinker = Words("{Drinkers}")
    feeder = Words("Feeder")
    vent = Words("Vent")
    ranging = Words("Ranging")
    run = Words("The run")
    reminders = Words("Messages in the evening and morning")
    lockup = Words("When to lock up")
    letout = Words("When to let out")
    rounds = Words("The list of jobs")
    site = Words("Where it is")
    before = Words("Where it was before you moved")
    move = Words("We are moving")
    since = Words("Where it is since you moved")
    again = Words("We are moving again")
    duty = Words("Who usually locks up?")
    units = Words("Units on these pages")
    climate = Words("The year's averages")
    forecast = Words("Forecast")
    web = Words("Address of these pages")
    mail = Words("Mail")


class AddTitles:
    """What a card adds."""

    coop = Words("Add a house")
    flock = Words("Add birds")
    person = Words("Add somebody")
    care = Words("Add a job of your own")
    sensor = Words("Add a thermometer")
    drinker = Words("Add a {drinker}")
    feeder = Words("Add a feeder")
    vent = Words("Add a vent")


class EndTitles:
    """What takes a thing away."""

    coop = Words("Remove this house …")
    flock = Words("Remove these birds …")
    person = Words("Remove {name} …")
    care = Words("End this job …")
    sensor = Words("Remove this thermometer …")
    drinker = Words("Remove it …")
    feeder = Words("Remove it …")
    vent = Words("Remove it …")
    lockup = Words("Go by the same times as the others …")
    letout = Words("Go by the same times as the others …")
    climate = Words("Go by the map again …")
    forecast = Words("Ask nobody for a forecast, and forget the answer …")
    mail = Words("Stop sending mail …")
    cares = Words("Back to usual …")
    move = Words("We are not moving …")


class EndSays:
    """What ends with it."""

    coop = Words("What was said of it stays in the diary. Its evenings and jobs end.")
    emptied = Words(
        "No birds live in {house} then, so it ends with this. You can bring it back under Changes "
        "so far."
    )
    birds_of_coop = Words(
        "These birds live there and end with it: {birds}. To keep them, first give them another "
        "house under Birds."
    )
    sensors_of_coop = Words("These thermometers hang there and end with it: {sensors}.")
    person = Words("Their links and calendars end, and their devices are signed out.")
    flock = Words(
        "They are not counted any more and their jobs end. If birds died or left, say so in the "
        "evening instead, so that nobody looks for them."
    )


class UnitsTyped:
    """Units that stand beside an input and are not told in sums."""

    min = Words("minutes")
    days = Words("days")
    US_gal = Words("US gallons")


class NewBirds:
    """Which birds live in a house that is new."""

    who = Words("Who lives there?")
    new = Words("birds that are new here")
    purpose = Words("For birds that are new here, fill in the rest.")


class PlaceNamed:
    """A place that is found by its name."""

    label = Words("Village or town")
    purpose = Words("Or latitude and longitude, as a map shows them: 51.50, -0.12")
    other = Words(
        "So far it is near {near}. For another place write its name, or latitude and longitude, "
        "as a map shows them: 51.50, -0.12"
    )
    which = Words("Which one is it?")
    not_both = Words("Give the name of the place or its latitude and longitude, not both.")
    told = Words("{where} {dusk}")
    is_over = Words("Give a day that is still to come. Until then the times stay as they are.")


class AddressSays:
    """What follows from another address of the pages."""

    sign_in = Words(
        "From then on everybody opens these pages at {address} and signs in there once more. Make "
        "sure first that it leads here: if it does not, only whoever looks after the machine can "
        "take this back."
    )


class Answers:
    """What can be chosen in an input."""

    yes = Words("yes")
    no = Words("no")
    unsaid = Words("(not said)")
    usual = Words("(as usual)")


class MoveSays:
    """What happens around a move."""

    until_then = Words(
        "Up to the evening before {day} the times here count; from that day on, the new place's. "
        "For seven days the birds then stay in the run or the house, so that they learn where they "
        "live. The diary and the calendars go on."
    )
    on_the_day = Words("On {day} it would be")


class ChangeNotices:
    """What a page says after a form was sent."""

    nothing = Words("Nothing was changed: everything is as it was typed.")
    thing_gone = Words("It is not there any more, so nothing was changed.")
    overtaken = Words("{who} has changed something since you opened this page:")
    overtaken_by_hand = Words("Something has been changed since you opened this page:")
    some_wrong = Words("Nothing was changed yet. Please look at what is marked.")
    not_kept = Words("Nothing was changed.")
    same_name = Words("{name} is the name of another one already. Give each a name of its own.")


class ProfileElsewhere:
    """Why nothing can be changed, and the offer to take the profile over."""

    title = Words("Let these pages change the profile?")
    text = Words(
        "A copy of the file is then used from Duskfold's own folder. The file itself stays as it "
        "is and is not read any more: from then on, change things here."
    )
    yes = Words("Yes, take it over")


class PutBack:
    """The question before an earlier version is put back."""

    title = Words("Put everything back to how it was after the change of {when}?")
    text = Words(
        "This will change: {changes}. People who return get new links and must sign in again."
    )
    nothing = Words("Everything is already as it was then, so there is nothing to put back.")
    yes = Words("Yes, put it back")
    when = Words("{day}, {at}")
    by_hand = Words("changed by hand")
    first = Words("how it was at the start of this list")


class TonightThen:
    """What would happen tonight, step by step."""

    heads_up = Words("{at} first message to {who}")
    now = Words("{at} lock up now, to {who}")
    again = Words("{at} once more to {who}")
    next = Words("{at} the door must be shut: to {who}")
    everybody = Words("{at} to everybody: {who}")
    hourly = Words("{at} again to {who}")
    bedtime = Words("{at} the last of the evening, to {who}")
    dawn = Words("{at} before let-out, to {who}")
    of_houses = Words("{houses}: lock up {lock_up}, shut by {latest}")
    nobody = Words("Nobody would be told.")


class JobLines:
    """A job in the list."""

    next = Words("{often}; next {day}")
    never = Words("{often}; not within a year")
    waits = Words("{often}; {waits}")
    off = Words("switched off")
    reported = Words("when it is reported")
    today = Words("{often}; next today")


class RoundTitles:
    """The times of the day under which jobs are listed."""

    morning = Words("In the morning")
    midday = Words("At midday")
    evening = Words("In the evening")
    off = Words("Switched off")
