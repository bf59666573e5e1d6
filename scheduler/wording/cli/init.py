"""What `init` asks and answers."""

from scheduler.wording.words import Words


class InitScreen:
    """What is said before, between and after the questions."""

    begin = Words(
        "At most {count} short {count:question|questions}. Enter takes the answer in [brackets]. "
        "Ctrl-C stops, and nothing is written."
    )
    asked = Words("{number}. {question}: ")
    asked_usual = Words("{number}. {question} [{usual}]: ")
    longitude = Words("   Longitude (west is negative): ")
    replace = Words("Replace {profile}?")
    wrote = Words("Wrote {profile}. Tonight's times: duskfold today")
    wrote_elsewhere = Words("Wrote {profile}. Tonight's times: duskfold --profile {profile} today")
    subscribe = Words("In {person}'s push app, subscribe to {topic}")
    needs_server = Words(
        "No reminders yet, because nobody can be told. Mail needs a server to send it, so fill in "
        "[mail] in {profile}."
    )
    needs_way = Words(
        "No reminders yet, because nobody can be told. Give a [[person]] push or mail in {profile}."
    )


class InitFaults:
    """Why nothing was written."""

    stopped = Words("stopped; nothing was written.")
    no_more_answers = Words("no more answers; nothing was written.")
    nothing_written = Words("nothing was written.")
    printed_above = Words("{profile}: {error}. The profile is printed above.")
    is_folder = Words("{profile} is a folder. A profile is a file: {example}")
    is_there = Words("{profile} is already there and was left alone. To replace it: --force")
    nobody_to_ask = Words("there is nobody to ask here, so give {options}.")
    whose_address = Words("--mail and --push belong to somebody, so give --person too.")
    one_climate = Words(
        "--warmest-month-high: found it without --coldest-month-low; accepted: both or neither."
    )


class InitAsks:
    """The questions."""

    place = Words("Where are they? Give {accepted}")
    zone = Words("Time zone")
    region = Words("Region, for words and gallons (US, UK, EU, AU, other)")
    units = Words("Units (metric, us, uk)")
    elevation = Words(
        "Height above sea level (Enter to use the mean of the land around, about {mean})"
    )
    site = Words("What do you call the place")
    coop = Words("What do you call the house")
    floor = Words('Floor inside, such as "{example}" (Enter if not measured yet)')
    run = Words("Run: secure (roofed, meshed, dug in) or open")
    run_floor = Words('Size of the run, such as "{example}" (Enter if not measured yet)')
    door = Words("Door (manual, automatic)")
    ranging = Words("Ranging: run only, supervised (before dusk), all day")
    hens = Words("How many hens")
    roosters = Words("How many roosters")
    coldest = Words(
        'Average night low in the coldest month, such as "{example}" (Enter to use the climate map)'
    )
    warmest = Words('Average day high in the warmest month, such as "{example}"')
    forecast = Words("{question} (yes, no)")
    person = Words("Who looks after them (Enter if nobody yet)")
    push = Words("Address of the push server that their phone's app uses (Enter if none)")
    mail = Words("Their email address (Enter if none)")


class InitAccepted:
    """What is accepted as an answer, and what may help."""

    no_zone = Words("None is known here. Is it open sea?")
    both_temperatures = Words('both or neither: a temperature, such as "{example}"')
    coldest_given = Words("You have given the coldest month.")
    longitude_twice = Words("The longitude is given as well. Give each only once.")


class InitForecast:
    """The answers about the forecast, and what is asked about one that looks odd."""

    yes = Words("yes")
    no = Words("no")
    far_from_the_us = Words(
        "The US National Weather Service forecasts for the United States and its territories "
        "only. Is that right?"
    )
    not_for_business = Words(
        "Open-Meteo may be used without payment if you do not earn money with it. Is that so?"
    )


class InitOdd:
    """What is asked about an answer that looks odd."""

    sea = Words("The map shows open sea at {latitude}, {longitude}. Is that right?")
    sea_swapped = Words(
        "The map shows open sea at {latitude}, {longitude}. The other way round it would be in "
        "{zone}. Is that right?"
    )
    zone = Words(
        "The map shows the time zone {zone} here, but clocks in {given} show another time. "
        "Is that right?"
    )
    birds = Words("{birds} birds: Duskfold is made for 4 to 50. Is that right?")
