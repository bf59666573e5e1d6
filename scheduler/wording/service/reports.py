"""What is answered to a report, and to what is said of one."""

from scheduler.wording.words import Words


class UrgentTimes:
    """When an urgent job is to be done."""

    now = Words("now")
    today = Words("today at {time}")
    tomorrow = Words("tomorrow at {time}")
    time_on_day = Words("{time} on {day}")


class ReportWhere:
    """A report with the house of its birds."""

    in_house = Words("{report}, in {house}")


class ReportCalled:
    """What a report is called, by its kind."""

    heat = Words("heat")
    frost = Words("frost")
    snow = Words("snow")
    storm = Words("a storm")
    predator = Words("a predator's visit")
    order = Words("an order")
    broody = Words("a broody hen")
    illness = Words("an illness")
    medicine = Words("a medicine")


class ReportFound:
    """A report as it is, where another was to be ended, confirmed or taken back."""

    began_today = Words("{report} that began today")
    begins = Words("{report} that only begins on {day}")
    ended = Words("{report} that ended on {day}")
    order_begins = Words("an order that begins on {day}")
    order_ended = Words("an order that ended on {day}")
    order_ends = Words("an order that ends on {day}")
    unchanged = Words("report {number}, which has not changed since it was made")


class ReportAccepted:
    """What is accepted instead."""

    between = Words("a day from {first} to {last}")
    or_later = Words("{first} or a later day")
    as_last_day = Words("{first} or a later day as its last day (end)")
    nothing_more = Words("nothing more")
    open_order = Words("a housing order that goes on until further notice")
    medicine = Words("a medicine")
    changed = Words("a report that was ended, confirmed or taken back")


class ReportHints:
    """What to do with a report that cannot be ended, confirmed or labelled so."""

    ends_then = Words("It already ends on {day}. If it goes on for longer, report that as well.")
    is_over = Words("It is already over. If that is wrong, take it back (again).")
    begins_then = Words("It begins on that day.")
    began_then = Words("It began on that day.")
    say_over = Words("It began on that day. If it is over now, say so (over).")
    undo_whole = Words("If it never happened, take the whole report back (undo).")
    undo = Words("If the report itself was wrong, take it back (undo).")
    not_yet = Words("Nobody can confirm it before then.")
    again = Words("If it is in force again, report it again.")
    stays = Words("It stays in force until then without being confirmed.")
    no_order = Words("This report is not an order.")
    over = Words("It is over.")
    ends_itself = Words("This report ends by itself on {day}.")
    no_label = Words("Only a medicine has a label.")


class WeatherAccepted:
    """What a report of weather may hold."""

    no_grade = Words("no grade here")
    no_temperature = Words("no temperature here")
    heat_between = Words("heat between {least} and {most}")
    frost_between = Words("frost between {least} and {most}")
    link = Words("an http or https address of at most {longest} characters")
    who = Words("at most {longest} characters on one line")


class WeatherHints:
    """What is wrong with a report of weather."""

    grade = Words("Only a predator has a grade, so leave this empty.")
    temperature = Words("Only heat and frost have a temperature.")
    ipv6 = Words("After a [ there must be a whole IPv6 address and then a ].")
    port = Words("The number after the colon must be from 1 to 65535.")
    server = Words("The server's name is missing or wrong. Copy the whole address.")


class WeatherAsked:
    """What is asked before a report of weather is kept."""

    odd_heat = Words("{degrees} is unusual for heat. Is it right?")
    odd_frost = Words("{degrees} is unusual for frost. Is it right?")
    long_heat = Words("Will the heat really last {days} {days:day|days}?")
    long_frost = Words("Will the frost really last {days} {days:day|days}?")
    long_snow = Words("Will the snow really last {days} {days:day|days}?")
    long_storm = Words("Will the storm really last {days} {days:day|days}?")


class BirdsAccepted:
    """What a report of birds may hold."""

    nothing = Words("nothing")
    days = Words("whole days from 0 to {most}, as the label or the vet says")
    birds = Words("a number from 1 to {most}")
    any_birds = Words("a number of birds, 1 or more")
    product = Words("the product's name in at most {longest} characters on one line")
    seen = Words("what you saw in at most {longest} characters on one line")
    on_label = Words("the product's name, as on the label")
    sign = Words("a sign from the list, or what you saw, in your own words")
    empty = Words("nothing here")
    no_sign = Words("no sign here")
    no_days = Words("no days here")


class BirdsHints:
    """What is wrong with a report of birds."""

    unknown_days = Words("If you do not know, leave it out. Nothing is assumed.")
    not_over = Words("Leave it out until it is over.")
    only = Words("The house has only {birds} {birds:bird|birds}.")
    day_is_enough = Words("For a broody hen, the day is enough.")
    signs = Words("Only an illness has signs.")
    withheld = Words("Eggs and meat are withheld only after a medicine.")


class BirdsAsked:
    """What is asked before a report of birds is kept."""

    long_treatment = Words("Will the treatment really last {days} {days:day|days}?")
    to_come = Words(
        "{day}, the day of the first dose, is still to come. Is it planned? If it has already been "
        "given, say on which date."
    )
    long_eggs = Words("Does the label really say {days} {days:day|days} for eggs?")
    long_meat = Words("Does the label really say {days} {days:day|days} for meat?")
