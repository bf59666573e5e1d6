"""What the tables of a profile are."""

from scheduler.wording.words import Words


class ProfileKeys:
    """What the keys of a profile, and its tables, are."""

    units = Words("metric, us or uk; by default from the region")
    site = Words("where the birds live")
    climate = Words("the year's averages at the site")
    lockup = Words("when the door is shut in the evening")
    letout = Words("when the door is opened in the morning")
    rounds = Words("the walks to the coop")
    coop = Words("the houses")
    flock = Words("the birds")
    person = Words("who can be told")
    duty = Words("who usually locks up, by weekday")
    reminders = Words("the evening's reminders and the morning brief")
    mail = Words("the server that sends our mail")
    web = Words("the pages and calendars over HTTP")
    cares = Words("changes to jobs of the catalogue, by id")
    care = Words("jobs of your own")
    forecast = Words("whose weather forecast may be asked")
    sensor = Words("thermometers of your own")


class OwnIds:
    """What is accepted where two things of a kind have the same id."""

    coop = Words("a different id (or name) for each coop")
    flock = Words("a different id (or name) for each flock")
    person = Words("a different id (or name) for each person")
    care = Words("a different id (or name) for each job")
    sensor = Words("a different id (or name) for each thermometer")


class WrongTables:
    """What is found, accepted and advised where tables of a profile do not agree."""

    none = Words("none")
    one_table = Words("at least one {table}")
    once_by_place = Words(
        'Until version 0.2 this one was "{id}". Write id = "{id}" to keep what was said of it.'
    )
    no_flock = Words("no flock living in {coop}")
    one_flock = Words("at least one flock for each coop")
    moved = Words("If its birds moved to another house, leave this one out until some live there.")
    one_owner = Words("at least one owner")
    without_a_role = Words("Anybody without a role is an owner.")
    unknown_job = Words("the unknown job {job}")
    nobody_yet = Words("somebody of a [[person]]")
    several_called = Words("Several people are called {name}: write the id of one of them.")
    has_left = Words("Give the days of whoever has left to somebody else, or leave them out.")
