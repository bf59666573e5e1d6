"""Advice for whoever wrote a word in a profile that the profile does not know."""

from scheduler.wording.words import Words


class TopHints:
    """For what was written at the top of the file."""

    birds = Words("Birds go in a table [[flock]], with a name.")
    houses = Words("Houses go in tables [[coop]], with a name.")
    people = Words("People go in tables [[person]].")
    place = Words("The place goes in a table [site].")
    move = Words("Where you move to, and on which day, goes in a table [move].")
    in_site = Words("That goes in the table [site].")
    run = Words("The run goes in a table [coop.run], below its [[coop]].")
    weather = Words("To report the weather: duskfold weather. Averages go under [climate].")
    forecast = Words('Whose forecast may be asked goes in [forecast], as sources = ["met-norway"].')
    sensor = Words("Thermometers of your own go in tables [[sensor]].")
    jobs = Words("Change jobs under [cares.JOB]. Your own go in tables [[care]].")
    reminders = Words("Set that under [reminders].")
    duty = Words('Who usually locks up goes in a table [duty], as monday = "Sam".')
    mail_server = Words("The mail server goes in a table [mail].")


class SiteHints:
    """For what was written of the place."""

    place = Words("Write latitude = 44.3 and longitude = -71.2. South and west are negative.")
    zone = Words('Write the time zone as timezone = "Europe/Paris".')
    moves_on = Words("Write the day you move as on = 2027-03-28, without quotes.")
    region = Words("Write region = and one of US, UK, EU, AU or other, in quotes.")
    elevation = Words('Write the height above sea level as elevation = "85 m".')
    hill = Words("Write the hill in the west as west_horizon = 5, in degrees.")


class FlockHints:
    """For what was written of birds."""

    hens = Words('Count grown hens under "hens" and cocks under "roosters".')
    young = Words('Count birds that are not grown yet under "young", with hatched = 2026-04-01.')
    others = Words('Count ducks, geese, turkeys and guinea fowl under "others".')
    hatched = Words(
        'Write the hatch date as hatched = 2026-04-01, or age = "pullet" if you do not know it.'
    )
    quarantine = Words('For birds you bought, write arrived = 2026-04-01 and raised_by = "bought".')
    broody = Words(
        "To say that a broody hen sleeps elsewhere: duskfold elsewhere. Chicks that a hen raises "
        'are a flock with raised_by = "hen".'
    )
    breed = Words("Write kind for how heavy they are: bantam, light, medium or heavy.")
    mass = Words('Write the mass of one grown hen as mass = "2 kg".')
    house = Words("Write coop for the house that they sleep in.")


class CoopHints:
    """For what was written of a house."""

    size = Words('Write the size as floor = "1.2 m x 2.4 m".')
    perches = Words("The perches go in a table [coop.perches].")
    nests = Words("Nests go in [coop.nests].")
    drinkers = Words("Drinkers go in tables [[coop.drinker]].")
    feeders = Words("Feeders go in tables [[coop.feeder]].")
    vents = Words("Openings go in tables [[coop.vent]].")
    bedding = Words("The bedding goes in a table [coop.bedding].")
    lamp = Words("A lamp goes in a table [coop.light].")
    door = Words('Write door = "automatic" or "manual".')
    latch = Words('Write latch = "two-step" (a carabiner counts) or "simple".')
    capacity = Words("To see how many birds the house holds: duskfold check")
    birds = Words("Birds go in a table [[flock]] of their own.")
    fence = Words("The fence goes in a table [coop.run].")
    way = Words("Write how many minutes it takes to get there as getting_there = 14.")
    ranging = Words('Write ranging = "run only", "supervised" or "all day".')


class PartHints:
    """For what was written of a run, or of what stands in a house."""

    secure_run = Words('For a run that is roofed, meshed and dug in, write type = "secure".')
    netting = Words('Write fence netting as netting = "electric" or "overhead".')
    perch_length = Words("Write length for the length of all perches together.")
    nest_count = Words("Write count for how many nests there are.")
    nest_place = Words('Write place = "dark rear", "light" or "outside".')
    drinker_capacity = Words('Write capacity = "8 L" for what one holds.')
    drinker_count = Words("Write count for how many of them there are.")
    feeder_capacity = Words('Write capacity = "6 kg" for what one holds.')
    feeder_edge = Words('Write length = "60 cm" for the edge they feed at, both sides.')
    vent_size = Words('Write size = "10 cm x 40 cm" for the free opening of one.')
    bedding_material = Words('Write material = "shavings", straw, hemp, sand, pellets or other.')
    bedding_depth = Words('Write depth = "10 cm".')
    lamp_hours = Words("Write programme = true to lengthen short days.")
    lamp_lux = Words("Write lux = 10 for the light at the birds' height.")


class HouseholdHints:
    """For what was written of rules, people, reminders, mail and pages."""

    lockup_time = Words('Limit the time with not_before and not_after, or cap = "22:30".')
    after_sunset = Words('Write after_sunset = "30 min" with basis = "sunset".')
    letout_time = Words('Limit the time with not_before and not_after, such as "07:00".')
    mail = Words('Write the address as mail = "sam@example.org".')
    phone = Words(
        "A phone is reached by push. Write its topic's address as push, and the number that "
        "others call as telephone."
    )
    telephone = Words('Write telephone = "+44 20 7946 0000".')
    push = Words('Write push = "https://push.example.org/topic-name".')
    duty = Words(
        "The first [[person]] is on duty, or whoever the table [duty] names for that weekday."
    )
    sitter = Words("Write a sitter's days as first_day and last_day.")
    mail_host = Words('Write host = "mail.example.org" for the server that sends our mail.')
    mail_user = Words('Write user = "hens@example.org" for the name to sign in with.')
    mail_from = Words('Write from = "hens@example.org" for the address that mail comes from.')
    mail_security = Words('Write security = "starttls" or "tls".')
    password = Words("Passwords do not go in a profile. They are secrets of their own (README).")
    style = Words('Write style = "gentle", "standard" or "all night".')
    forecast_sources = Words('Name the services as sources = ["met-norway"].')
    forecast_contact = Words('Write the address as contact = "sam@example.org".')
    forecast_rounding = Words("Write rounding = 0.1 to tell less of the place.")
    sensor_file = Words('Duskfold reads a file: file = "/var/lib/garden/thermometer.json".')
    sensor_where = Words('Write where = "outside" or "coop".')
    sensor_coop = Words("Write coop for the house that it hangs in.")
    base_url = Words('Write base_url = "https://hens.example.org".')
    listen = Words('Write listen = "127.0.0.1:8640", address and port together.')


class ValueHints:
    """For a word that its key does not take."""

    telephone = Words("Write only digits, spaces, hyphens, parentheses and a + in front.")
    grown = Words('For grown birds, write age = "adult".')
    raised_by_hen = Words('For chicks with a hen, write raised_by = "hen".')
    raised_by_lamp = Words('For a heat lamp, write raised_by = "brooder".')
    bought = Words('From elsewhere, write raised_by = "bought".')
    kind = Words("Whatever the breed, kind says how heavy they are.")
    two_step = Words('For a carabiner, write latch = "two-step".')
    simple = Words('If one movement opens it, write latch = "simple".')
    ark = Words('For a house that is moved, write type = "ark".')
    fixed = Words('For a house that stays put, write type = "fixed".')
    automatic = Words('For a door with a motor, write door = "automatic".')
    manual = Words('For a door shut by hand, write door = "manual".')
    run_only = Words('For birds that never leave the run, write "run only".')
    all_day = Words('For birds out all day, write ranging = "all day".')
    open_run = Words('For anything less, write type = "open".')
    shavings = Words('For wood, write material = "shavings".')
    met_norway = Words('For MET Norway, write "met-norway".')
    us_nws = Words('For the US National Weather Service, write "us-nws".')
    open_meteo = Words('For Open-Meteo, write "open-meteo".')
    no_forecast = Words("For no forecast, write sources = [].")
    sensor_outside = Words('For one in the open, write where = "outside".')
    sensor_in_coop = Words('For one in a house, write where = "coop", and coop = the house.')
    british_units = Words('For British feet and gallons, write "uk"; for American ones, "us".')
    american_units = Words('For American feet and gallons, write "us".')
    metric_units = Words('For metres and litres, write "metric".')
    in_britain = Words('For the United Kingdom, write region = "UK".')
    in_america = Words('For the United States, write region = "US".')
    elsewhere = Words('If none of them fits, write region = "other".')
