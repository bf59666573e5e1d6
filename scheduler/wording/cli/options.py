"""What `--help` says of each option and argument."""

from scheduler.wording.words import Words


class SharedOption:
    """The options that several commands share."""

    profile = Words("The profile to use. [env: DUSKFOLD_PROFILE]")
    data = Words("The data folder. [env: DUSKFOLD_DATA]")
    journal = Words("A database for several hosts, postgresql://… [env: DUSKFOLD_JOURNAL]")
    log_level = Words("debug, info, warning or error.")
    version = Words("Show the versions of the program, its database schema and its time zone data.")
    date = Words("Another day, YYYY-MM-DD.")
    first = Words("The first day, YYYY-MM-DD.")
    last = Words("The last day, YYYY-MM-DD.")
    json = Words("Print JSON for programs, with times in UTC.")
    coop = Words("Only this coop, by id or name.")
    by = Words("Who says it.")
    first_of_report = Words("The first day: a date, sat or today.")
    for_good = Words("I mean it, though it cannot be taken back.")
    odd = Words("I mean it, though it looks odd.")
    count = Words("How many birds.")
    evening = Words("Another evening, YYYY-MM-DD.")


class DoorOption:
    """The options of what is said of a door."""

    at = Words("When it happened, if not now, such as 16:52.")
    early = Words("I mean it, though lock-up is hours away.")
    back = Words("Say that they are back in their house.")
    to = Words("The house they moved to, by id or name.")


class CopyOption:
    """The options of a copy of everything that is kept."""

    source = Words(
        "A data folder, the file in it, or postgresql://… (or a file that holds that address)."
    )
    target = Words("The same, but still empty.")
    in_use = Words("I mean it, though reminders that use it are running.")


class LinksOption:
    """The options of people's addresses, and of a test of how they are told."""

    name = Words("Show only this person.")
    renew = Words("Give them new addresses and end the old ones.")
    sign_in = Words("Make a link that signs in one device, once.")
    sign_out = Words("Sign them out on every device.")
    screen = Words("Make a link that signs in a shared screen, once.")
    take_back = Words("Cancel the sign-in links made for them.")
    renew_answers = Words("End the buttons on every message sent so far.")
    alarms = Words("Show the addresses of the calendars with alarms.")
    to_test = Words("Somebody in the profile.")


class PlanOption:
    """The options of what is to be done and when."""

    job = Words("lock-up, let-out, range or a job.")
    month = Words("The middle of this month, 1 to 12, instead of today.")
    out = Words("The folder to write the calendars to.")
    days = Words("How many days ahead, instead of as many as usual.")
    alarms = Words("Let the lock-ups ring as early as your first reminder.")


class RunOption:
    """The options of the reminders and the pages."""

    first_run = Words("Where there is no profile yet, ask the first questions on a page.")
    until_stdin_ends = Words("Stop when standard input ends.")
    agree_clock = Words("Say that this machine's clock is right, when Duskfold doubts it.")


class DemoOption:
    """The options of the made-up garden."""

    at = Words("The time there, such as 16:40. [default: half an hour before lock-up]")
    listen = Words("Where the pages listen, ADDRESS:PORT; for a phone, this machine's address.")


class ReportOption:
    """The options of what a keeper reports."""

    jobs = Words("ticked, to see what was ticked; or undo JOB, to take its last tick back.")
    eggs = Words("How many were collected.")
    undo_eggs = Words("Take back the last count.")
    many_eggs = Words("I mean it, though they can hardly lay so many.")
    weather = Words(
        "heat, frost, snow, storm, predator, order; measured; or confirm, end, over, undo, again."
    )
    weather_detail = Words("36C or -20C; nearby, tried or got-at; or the number of a report.")
    last = Words("The last day: a date, mon or tomorrow.")
    humidity = Words("With what was measured: the humidity of the air, such as 81%.")
    sensor = Words("With what was measured: the thermometer, by id or name.")
    link = Words("Where to read an order.")
    who = Words("Who must follow an order.")
    birds = Words("broody, illness, medicine; or end, over, undo, again, label.")
    birds_detail = Words(
        "The signs of an illness; a medicine's name on its label; or a report's number."
    )
    last_dose = Words("The last day; for a medicine, the day of the last dose.")
    note = Words("What else you saw.")
    eggs_withheld = Words("How many days to withhold the eggs, from the label or the vet.")
    meat_withheld = Words("How many days to withhold the meat, from the label or the vet.")
    kind = Words("doors, birds, jobs, eggs, reports or changes.")
    csv = Words("A table to download, the same as on the pages.")


class InitOption:
    """The options of a new profile, and of its check."""

    name = Words("What you call the place.")
    latitude = Words("Degrees north, such as 44.3 or 44°18'N.")
    longitude = Words("Degrees east; west is negative.")
    timezone = Words("Such as Europe/Paris; worked out from the place if you leave it out.")
    region = Words("US, UK, EU, AU or other.")
    units = Words("metric, us or uk.")
    elevation = Words('The height above sea level, such as "320 m".')
    coop = Words("What you call the house.")
    type = Words("fixed or ark.")
    floor = Words('The floor inside, such as "4 ft x 8 ft".')
    run = Words("secure or open.")
    run_floor = Words("The size of the run.")
    door = Words("manual or automatic.")
    ranging = Words('"run only", "supervised" or "all day".')
    hens = Words("How many hens.")
    roosters = Words("How many roosters.")
    coldest = Words("The average night low in the coldest month.")
    warmest = Words("The average day high in the warmest month.")
    forecast = Words("yes, no, or whose forecast: met-norway, open-meteo or us-nws.")
    kind = Words("bantam, light, medium or heavy.")
    person = Words("Who looks after them.")
    mail = Words("Their email address.")
    push = Words("The address of their push server or topic.")
    force = Words("Replace a profile that is already there.")
    rules = Words("backyard or eu.")
