"""What the pages are called, and what the page More says about them."""

from scheduler.wording.words import Words


class PageNames:
    """The pages in the bar."""

    today = Words("Today")
    week = Words("Week")
    add = Words("Add")
    flock = Words("Flock")
    more = Words("More")
    year = Words("Year")
    coop = Words("Coop")
    weather = Words("Weather")
    birds = Words("Birds")
    phone = Words("Alerts")
    subscribe = Words("Subscribe")
    status = Words("Status")
    people = Words("People")
    diary = Words("Diary")
    change = Words("Change")
    card = Words("Door card")
    about = Words("About")


class OnMore:
    """What there is on the pages that do not stand at the thumb."""

    weather = Words("the nights and days ahead, what was measured, and the forecast")
    phone = Words("have this phone ring at dusk, and try it")
    subscribe = Words("calendars for your phone")
    status = Words("whether you can rely on the reminders")
    people = Words("let somebody in, see who is signed in")
    card = Words("a year of times on one page, to hang in the coop")
    diary = Words("what was said and done, to look up and to put right")
    change = Words("houses, birds, people, alerts, jobs, place")
    about = Words("where to take care, sources, licences")
