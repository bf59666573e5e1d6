"""What `--help` says of the program, its commands and what stands in capitals there."""

from scheduler.wording.words import Words


class ProgramHelp:
    """What the program and its groups of commands are for."""

    program = Words(
        "When to let your hens out and lock them up, what else is due, and calendars of it all."
    )
    journal = Words("Copy everything that is kept to another file or server.")


class CommandHelp:
    """What each command does, by its name."""

    init = Words("Ask a few questions and write a profile.")
    check = Words("Check that the profile can be used, and that the house is big enough and safe.")
    accept = Words("Use this profile on every host that shares the database.")
    today = Words("Show today's times and jobs.")
    week = Words("Show seven days from today.")
    light = Words(
        "Show the sun, let-out, free-range time and lock-up for each day from --from to --to."
    )
    year = Words("Show twelve months on one screen.")
    why = Words("Explain what makes a job due, with its figures, rule and source.")
    jobs = Words("List every job, when it is next due and how often; or what was ticked.")
    eggs = Words(
        "Say how many eggs you collected, in addition to what was counted earlier that day."
    )
    weather = Words(
        "Report weather, a predator or a housing order; list reports, end them or take them back."
    )
    birds = Words(
        "Report a broody hen, an illness or a medicine; list reports, end them or take them back."
    )
    diary = Words(
        "Show what was said and done, evening by evening and day by day, the newest first."
    )
    figures = Words("Work out heat, air, water, feed, bedding and light for each coop.")
    feed = Words("Write the calendar files: evenings, jobs, seasons, and all in one.")
    watch = Words("Run the reminders until you stop them.")
    serve = Words("Run the reminders and the pages until you stop them.")
    web = Words("Run the pages alone; `watch` runs the reminders.")
    demo = Words("Try the pages in a made-up garden: nothing is sent, and nothing is kept.")
    links = Words("Show each person's calendar addresses; renew them, or sign devices in or out.")
    test_alert = Words("Send somebody a real test message in every way they can be reached.")
    health = Words("Say who can be told tonight, and whether you can rely on the reminders.")
    journal_copy = Words(
        "Copy everything and compare both sides; run again, it carries on where it stopped."
    )


class DoorCommandHelp:
    """What each command that speaks of a door or its birds does, by its name."""

    closed = Words(
        "Say that the door is shut and how many are in; without --count, that it looks like all."
    )
    reopened = Words("Say that the door is open again, so that the reminders go on.")
    found = Words("Say that missing birds are in: all of them, or as many as --count.")
    not_found = Words(
        "Stop looking for tonight; they stay missing until you say what became of them."
    )
    dead = Words("Say that birds have died; fewer are expected until the profile changes.")
    given_up = Words(
        "Give missing birds up for lost; fewer are expected until the profile changes."
    )
    undo = Words("Take back the last thing said about a door or its birds, within a day.")
    elsewhere = Words("Say that birds sleep elsewhere (broody pen, hospital cage), or are back.")
    arrived = Words(
        "Say that birds have come to live in a house, in addition to those in the profile."
    )
    hatched = Words("Say that chicks have hatched in a house.")
    sold = Words("Say that birds were sold or given away.")
    moved = Words("Say that birds have moved from one house to another.")


class Metavar:
    """What stands for the word that an option or argument takes."""

    address = Words("ADDRESS")
    birds = Words("BIRDS")
    date = Words("DATE")
    day = Words("DAY")
    days = Words("DAYS")
    degrees = Words("DEGREES")
    detail = Words("DETAIL")
    dir = Words("DIR")
    door = Words("DOOR")
    eggs = Words("EGGS")
    file = Words("FILE")
    from_ = Words("FROM")
    height = Words("HEIGHT")
    house = Words("HOUSE")
    id = Words("ID")
    job = Words("JOB")
    kind = Words("KIND")
    level = Words("LEVEL")
    m = Words("M")
    n = Words("N")
    name = Words("NAME")
    percent = Words("PERCENT")
    person = Words("PERSON")
    place = Words("PLACE")
    ranging = Words("RANGING")
    region = Words("REGION")
    run = Words("RUN")
    service = Words("SERVICE")
    set = Words("SET")
    size = Words("SIZE")
    temperature = Words("TEMPERATURE")
    text = Words("TEXT")
    time = Words("TIME")
    to = Words("TO")
    type = Words("TYPE")
    units = Words("UNITS")
    url = Words("URL")
    what = Words("WHAT")
    whom = Words("WHOM")
    zone = Words("ZONE")
