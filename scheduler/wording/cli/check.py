"""What `check` and `figures` show."""

from scheduler.wording.words import Words


class CheckScreen:
    """What `check` says of the profile."""

    can_be_used = Words("{file} can be used.")
    house_by_rules = Words("{house}, by {rules}")
    to_buy = Words("To buy: {what}")
    place_label = Words("Place")
    house_label = Words("House")
    people_label = Words("People")
    place = Words("{site} ({latitude}° {north}, {longitude}° {east}, {zone})")
    secure_run = Words("{house}: {birds}, secure run, ranging {ranging}")
    open_run = Words("{house}: {birds}, open run, ranging {ranging}")
    no_run = Words("{house}: {birds}, no run, ranging {ranging}")
    lock_up = Words("lock-up by {basis}")
    lock_up_until = Words("lock-up by {basis}, never past {time}")
    getting_there = Words("{minutes} min to get there, counted in the first reminder")
    duty_label = Words("Locks up")
    duty = Words("{who} on {days}")
    nobody = Words("nobody yet, so reminders already running keep to the old profile")


class CheckTable:
    """What stands above the columns of what a house has and needs."""

    what = Words("what")
    have = Words("have")
    need = Words("need")
    margin = Words("margin")
    verdict = Words("verdict")


class CheckCompass:
    """Which half of the earth, in a letter."""

    north = Words("N")
    south = Words("S")
    east = Words("E")
    west = Words("W")


class CheckRanging:
    """How the birds range, by what the profile says of it."""

    run_only = Words("run only")
    supervised = Words("supervised")
    all_day = Words("all day")


class CheckRole:
    """What somebody may who is no owner."""

    member = Words("member")
    sitter = Words("sitter")


class CheckPerson:
    """Somebody who is no owner, and from when until when."""

    always = Words("{person} ({role})")
    since = Words("{person} ({role} from {first})")
    until = Words("{person} ({role} until {last})")
    between = Words("{person} ({role} from {first} until {last})")


class FiguresScreen:
    """What `figures` says above and below a house's figures."""

    heading = Words("{site}, {day}: average night {low}, average day {high}")
    line = Words("{label}: {text}")
    why = Words("why: {sums}")
