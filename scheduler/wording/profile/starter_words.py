"""The comments of a new profile, and what its things are called until they have names."""

from scheduler.wording.words import Words


class StarterNames:
    """What stands in a new profile for names that nobody has given."""

    site = Words("Home")
    coop = Words("Coop")
    further_coop = Words("Coop {number}")
    flock = Words("Hens")
    own_job = Words("Oil the hinges")
    keeper = Words("Keeper")


class StarterComments:
    """What stands behind # in a new profile."""

    what = Words("Your place, your house, your birds. `duskfold check` says what cannot be used.")
    switched_off = Words(
        "Lines that start with # are switched off. To use one, take the # away and fill in your "
        "own."
    )
    units = Words("metric, us or uk")
    id = Words("for calendars: keep it when you change the name")
    north = Words("north is positive")
    east = Words("east is positive")
    region = Words("US, UK, EU, AU or other: whose words and gallons you use")
    elevation = Words("height above sea level; without it, the mean of the land around is used")
    hill = Words("height in degrees of the hill the sun sets behind")
    lockup = Words(
        "When to lock up: by default when the sun is 4° below the horizon, at most 40 minutes "
        "after sunset, never past 22:30."
    )
    coop_type = Words("fixed, or ark (moved over the grass)")
    getting_there = Words("minutes that it takes to get to this house")
    duty = Words("Who usually locks up, by weekday.")
    ranging = Words("run only, supervised (before dusk), all day")
    jobs = Words("Jobs can be changed or switched off, and you can add your own.")
    run_type = Words("secure: roofed, meshed, dug in; open: anything less")
    mail = Words(
        "Mail needs a server to send it. Its password is a secret and is kept elsewhere (README)."
    )
    forecast = Words(
        "A forecast: the rough location of your site goes to the service that you name here."
    )
    forecast_refused = Words(
        "No forecast: nothing goes to any weather service. To use one after all, name it."
    )
    rounding = Words("tells less of the place: to about 11 km instead of 1 km")
    contact = Words("where the service can reach you if requests go wrong; it is sent along")
    climate = Words("Averages for your place.")
    climate_estimated = Words(
        "Averages for your place. Without them, Duskfold goes by its climate map."
    )
