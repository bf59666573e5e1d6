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
    reminders = Words("the evening's reminders and the morning brief")
    mail = Words("the server that sends our mail")
    web = Words("the pages and calendars over HTTP")
    cares = Words("changes to jobs of the catalogue, by id")
    care = Words("jobs of your own")
