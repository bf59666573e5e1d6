"""What people write in a profile before they know its words, and what they should write there."""

import re

from scheduler.profile.problem import KeyPath
from scheduler.wording.profile.hint_words import (
    CoopHints,
    FlockHints,
    HouseholdHints,
    PartHints,
    SiteHints,
    TopHints,
    ValueHints,
)
from scheduler.wording.words import Words

# What counts birds, or was meant to.
COUNTING = (FlockHints.hens, FlockHints.young, FlockHints.others)

# Table, keys that are written there, the hint. A table of a list counts once, whatever its number.
_KEYS: tuple[tuple[str, str, Words], ...] = (
    ("", "flocks|birds|hens|chickens|ducks", TopHints.birds),
    ("", "coops|house|houses|henhouse", TopHints.houses),
    ("", "people|persons|keeper|keepers|contact", TopHints.people),
    ("", "location|place", TopHints.place),
    ("", "moves|moving|new_site|relocation", TopHints.move),
    ("", "latitude|longitude|timezone|region", TopHints.in_site),
    ("", "run", TopHints.run),
    ("", "weather", TopHints.weather),
    ("", "forecasts|weather_service|met-norway|open-meteo|us-nws", TopHints.forecast),
    ("", "sensors|thermometer|thermometers|weather_station", TopHints.sensor),
    ("", "jobs|tasks", TopHints.jobs),
    ("", "alerts|alarms|notifications", TopHints.reminders),
    ("", "smtp|email", TopHints.mail_server),
    ("", "duties|on_duty|rota|weekdays|who", TopHints.duty),
    ("", "monday|tuesday|wednesday|thursday|friday|saturday|sunday", TopHints.duty),
    ("site", "lat|lon|lng|long|coordinates|location|position", SiteHints.place),
    ("site", "zone|tz|time_zone", SiteHints.zone),
    ("site", "country", SiteHints.region),
    ("move", "lat|lon|lng|long|coordinates|location|position", SiteHints.place),
    ("move", "zone|tz|time_zone", SiteHints.zone),
    ("move", "altitude|height", SiteHints.elevation),
    ("move", "date|day|when|from", SiteHints.moves_on),
    ("site", "altitude|height", SiteHints.elevation),
    ("site", "hill|horizon", SiteHints.hill),
    ("flock", "chickens|layers|birds|count|number|size|females|laying_hens", FlockHints.hens),
    ("flock", "rooster|cocks|cock|cockerel|males", FlockHints.hens),
    ("flock", "pullets|pullet|chicks|chick|cockerels|youngsters|growers", FlockHints.young),
    (
        "flock",
        "ducks|duck|drakes|geese|goose|turkeys|guineas|guinea_fowl|quail|quails",
        FlockHints.others,
    ),
    ("flock", "hatch|hatch_date|hatchdate|born|birthday|dob|age_weeks|weeks", FlockHints.hatched),
    ("flock", "quarantine|bought|bought_on|acquired|isolation|new", FlockHints.quarantine),
    ("flock", "broody|broodies", FlockHints.broody),
    ("flock", "breed|breeds", FlockHints.breed),
    ("flock", "weight", FlockHints.mass),
    ("flock", "house|home", FlockHints.house),
    ("coop", "size|area|dimensions|width|length", CoopHints.size),
    ("coop", "roost|roosts|perch", CoopHints.perches),
    ("coop", "nest|nest_boxes|nestboxes|nesting_boxes|boxes", CoopHints.nests),
    ("coop", "drinkers|waterer|waterers|water", CoopHints.drinkers),
    ("coop", "feeders|feed", CoopHints.feeders),
    ("coop", "vents|ventilation|windows", CoopHints.vents),
    ("coop", "litter", CoopHints.bedding),
    ("coop", "lamp|lights|lighting", CoopHints.lamp),
    ("coop", "pop_door|pophole|pop_hole|opener|automatic_door", CoopHints.door),
    ("coop", "lock|locks", CoopHints.latch),
    ("coop", "capacity", CoopHints.capacity),
    ("coop", "hens|flock|birds", CoopHints.birds),
    ("coop", "fence|netting|mesh", CoopHints.fence),
    ("coop", "free_range|range", CoopHints.ranging),
    ("coop", "way|walk|minutes|distance|travel|far|getting_there_minutes", CoopHints.way),
    ("coop.run", "size|area|dimensions|width|length", CoopHints.size),
    ("coop.run", "roof|roofed|covered|cover|secure|predator_proof", PartHints.secure_run),
    ("coop.run", "fence", PartHints.netting),
    ("coop.perches", "count|number", PartHints.perch_length),
    ("coop.nests", "number|boxes", PartHints.nest_count),
    ("coop.nests", "location|position", PartHints.nest_place),
    ("coop.drinker", "size|volume|litres|liters|gallons|holds", PartHints.drinker_capacity),
    ("coop.drinker", "number", PartHints.drinker_count),
    ("coop.feeder", "size|weight|holds|volume|kg", PartHints.feeder_capacity),
    ("coop.feeder", "edge|space", PartHints.feeder_edge),
    ("coop.vent", "area", PartHints.vent_size),
    ("coop.bedding", "type|kind", PartHints.bedding_material),
    ("coop.bedding", "thickness|amount|height", PartHints.bedding_depth),
    ("coop.light", "hours|on|off|timer", PartHints.lamp_hours),
    ("coop.light", "brightness|intensity|lumen", PartHints.lamp_lux),
    ("forecast", "service|services|provider|from|on", HouseholdHints.forecast_sources),
    ("forecast", "mail|email|agent|user_agent", HouseholdHints.forecast_contact),
    ("forecast", "precision|accuracy|round", HouseholdHints.forecast_rounding),
    ("sensor", "path|url|topic|reads", HouseholdHints.sensor_file),
    ("sensor", "place|location|position", HouseholdHints.sensor_where),
    ("sensor", "house|in", HouseholdHints.sensor_coop),
    ("lockup", "time|at", HouseholdHints.lockup_time),
    ("lockup", "offset|minutes|after", HouseholdHints.after_sunset),
    ("letout", "time|at", HouseholdHints.letout_time),
    ("person", "email|e_mail|e-mail", HouseholdHints.mail),
    ("person", "phone|mobile|sms", HouseholdHints.phone),
    ("person", "tel|number|call", HouseholdHints.telephone),
    ("person", "topic|ntfy|notify", HouseholdHints.push),
    ("person", "duty", HouseholdHints.duty),
    ("person", "from|until|days", HouseholdHints.sitter),
    ("mail", "server|smtp", HouseholdHints.mail_host),
    ("mail", "username|login", HouseholdHints.mail_user),
    ("mail", "sender", HouseholdHints.mail_from),
    ("mail", "ssl|tls|encryption", HouseholdHints.mail_security),
    ("mail", "password", HouseholdHints.password),
    ("reminders", "quiet|night", HouseholdHints.style),
    ("web", "url|address", HouseholdHints.base_url),
    ("web", "port|host", HouseholdHints.listen),
)

# Table, key, what is written there, the hint.
_VALUES: tuple[tuple[str, str, str, Words], ...] = (
    ("flock", "age", r"\d|week|month|year|day", FlockHints.hatched),
    ("flock", "age", r"chicken|hen|laying|layer|grown|old", ValueHints.grown),
    ("flock", "raised_by", r"brood[yi]|mother", ValueHints.raised_by_hen),
    ("flock", "raised_by", r"heat|lamp|incubat|me\b", ValueHints.raised_by_lamp),
    ("flock", "raised_by", r"farm|shop|breeder|rescue", ValueHints.bought),
    ("flock", "kind", r".", ValueHints.kind),
    ("coop", "latch", r"carabiner|padlock|two|double|key", ValueHints.two_step),
    ("coop", "latch", r"hook|bolt|slide|single", ValueHints.simple),
    ("coop", "type", r"mobile|tractor|move|wheel", ValueHints.ark),
    ("coop", "type", r"coop|shed|house|barn|hut", ValueHints.fixed),
    ("coop", "door", r"auto|light|timer|motor|electr", ValueHints.automatic),
    ("coop", "door", r"hand|manual|none|no", ValueHints.manual),
    ("coop", "ranging", r"none|never|no\b|run", ValueHints.run_only),
    ("coop", "ranging", r"free|always|yes", ValueHints.all_day),
    ("coop.run", "type", r"roof|cover|closed|aviary|safe|mesh", PartHints.secure_run),
    ("coop.run", "type", r"fence|garden|net|uncovered|pasture", ValueHints.open_run),
    ("coop.bedding", "material", r"shaving|wood|chip", ValueHints.shavings),
    ("forecast", "sources", r"norw|norge|\byr\b|met\.no|metno", ValueHints.met_norway),
    ("forecast", "sources", r"noaa|nws|weather\.gov|national|\bus\b", ValueHints.us_nws),
    ("forecast", "sources", r"meteo", ValueHints.open_meteo),
    ("forecast", "sources", r"^(?:no|none|off|never)$", ValueHints.no_forecast),
    ("sensor", "where", r"out|garden|yard|balcony|wall", ValueHints.sensor_outside),
    ("sensor", "where", r"in|house|barn|shed|coop", ValueHints.sensor_in_coop),
    ("person", "telephone", r"\d", ValueHints.telephone),
    ("", "units", r"imp|brit|gb", ValueHints.british_units),
    ("", "units", r"usa|americ|custom|fahr", ValueHints.american_units),
    ("", "units", r"si\b|meter|metre|cels", ValueHints.metric_units),
    ("site", "region", r"gb|brit|engl|scot|wales|kingdom", ValueHints.in_britain),
    ("site", "region", r"usa|americ|u\.s", ValueHints.in_america),
    ("site", "region", r".", ValueHints.elsewhere),
)


def hint_for_key(key: KeyPath) -> str:
    """The hint for a key that is none; empty where nothing is known of it."""
    words = words_for_key(key)
    return words() if words else ""


def words_for_key(key: KeyPath) -> Words | None:
    """As `hint_for_key`, before it is said."""
    *above, last = key
    table, written = _table(above), _plain(str(last))
    found = (
        hint for at, keys, hint in _KEYS if at == table and written in map(_plain, keys.split("|"))
    )
    return next(found, None)


def hint_for_value(key: KeyPath, value: object) -> str:
    """The hint for a word that its key does not take; empty where nothing is known of it."""
    if not key or not isinstance(value, str):
        return ""
    names: KeyPath = tuple(part for part in key if isinstance(part, str))  # in a list any number
    *above, last = names
    place, said = (_table(above), last), value[:60].casefold()
    found = (
        hint()
        for at, at_key, pattern, hint in _VALUES
        if (at, at_key) == place and re.search(pattern, said)
    )
    return next(found, "")


def _table(path: list[str | int]) -> str:
    """A coop's own lock-up rule is written as the site's."""
    named = ".".join(part for part in path if isinstance(part, str))
    return named.removeprefix("coop.") if named in {"coop.lockup", "coop.letout"} else named


def _plain(key: str) -> str:
    return key.casefold().replace("-", "_").replace(" ", "_")
