"""What people write in a profile before they know its words, and what they should write there."""

import re

from scheduler.profile.problem import KeyPath

_HENS = 'Count grown hens under "hens" and cocks under "roosters".'
_YOUNG = 'Count birds that are not grown yet under "young", with hatched = 2026-04-01.'
_OTHERS = 'Count ducks, geese, turkeys and guineas under "others".'
_HATCHED = 'Write the hatch date as hatched = 2026-04-01, or age = "pullet" if you do not know it.'
_QUARANTINE = 'For birds you bought, write arrived = 2026-04-01 and raised_by = "bought".'
_BROODY = (
    "To say that a broody hen sleeps elsewhere: duskfold elsewhere. Chicks that a hen raises "
    'are a flock with raised_by = "hen".'
)
_SIZE = 'Write the size as floor = "1.2 m x 2.4 m".'
_PLACE = "Write latitude = 44.3 and longitude = -71.2. South and west are negative."
_SECURE = 'For a run that is roofed, meshed and dug in, write type = "secure".'
_ELSEWHERE = "Passwords do not go in a profile. They are secrets of their own (README)."

# Table, keys that are written there, the hint. A table of a list counts once, whatever its number.
_KEYS: tuple[tuple[str, str, str], ...] = (
    ("", "flocks birds hens chickens ducks", "Birds go in a table [[flock]], with a name."),
    ("", "coops house houses henhouse", "Houses go in tables [[coop]], with a name."),
    ("", "people persons keeper keepers contact", "People go in tables [[person]]."),
    ("", "location place", "The place goes in a table [site]."),
    ("", "latitude longitude timezone region", "That goes in the table [site]."),
    ("", "run", "The run goes in a table [coop.run], below its [[coop]]."),
    ("", "weather", "To report the weather: duskfold weather. Averages go under [climate]."),
    ("", "jobs tasks", "Change jobs under [cares.JOB]. Your own go in tables [[care]]."),
    ("", "alerts alarms notifications", "Set that under [reminders]."),
    ("", "smtp email", "The mail server goes in a table [mail]."),
    ("site", "lat lon lng long coordinates location position", _PLACE),
    ("site", "zone tz time_zone", 'Write the time zone as timezone = "Europe/Paris".'),
    ("site", "country", "Write region = and one of US, UK, EU, AU or other, in quotes."),
    ("site", "altitude height", 'Write the height above sea level as elevation = "85 m".'),
    ("site", "hill horizon", "Write the hill in the west as west_horizon = 5, in degrees."),
    ("flock", "chickens layers birds count number size females laying_hens", _HENS),
    ("flock", "rooster cocks cock cockerel males", _HENS),
    ("flock", "pullets pullet chicks chick cockerels youngsters growers", _YOUNG),
    ("flock", "ducks duck drakes geese goose turkeys guineas guinea_fowl quail quails", _OTHERS),
    ("flock", "hatch hatch_date hatchdate born birthday dob age_weeks weeks", _HATCHED),
    ("flock", "quarantine bought bought_on acquired isolation new", _QUARANTINE),
    ("flock", "broody broodies", _BROODY),
    ("flock", "breed breeds", "Write kind for how heavy they are: bantam, light, medium or heavy."),
    ("flock", "weight", 'Write the mass of one grown hen as mass = "2 kg".'),
    ("flock", "house home", "Write coop for the house that they sleep in."),
    ("coop", "size area dimensions width length", _SIZE),
    ("coop", "roost roosts perch", "The perches go in a table [coop.perches]."),
    ("coop", "nest nest_boxes nestboxes nesting_boxes boxes", "Nests go in [coop.nests]."),
    ("coop", "drinkers waterer waterers water", "Drinkers go in tables [[coop.drinker]]."),
    ("coop", "feeders feed", "Feeders go in tables [[coop.feeder]]."),
    ("coop", "vents ventilation windows", "Openings go in tables [[coop.vent]]."),
    ("coop", "litter", "The bedding goes in a table [coop.bedding]."),
    ("coop", "lamp lights lighting", "A lamp goes in a table [coop.light]."),
    (
        "coop",
        "pop_door pophole pop_hole opener automatic_door",
        'Write door = "automatic" or "manual".',
    ),
    ("coop", "lock locks", 'Write latch = "two-step" (a carabiner counts) or "simple".'),
    ("coop", "capacity", "To see how many birds the house holds: duskfold check"),
    ("coop", "hens flock birds", "Birds go in a table [[flock]] of their own."),
    ("coop", "fence netting mesh", "The fence goes in a table [coop.run]."),
    ("coop", "free_range range", 'Write ranging = "run only", "supervised" or "all day".'),
    ("coop.run", "size area dimensions width length", _SIZE),
    ("coop.run", "roof roofed covered cover secure predator_proof", _SECURE),
    ("coop.run", "fence", 'Write fence netting as netting = "electric" or "overhead".'),
    ("coop.perches", "count number", "Write length for the length of all perches together."),
    ("coop.nests", "number boxes", "Write count for how many nests there are."),
    ("coop.nests", "location position", 'Write place = "dark rear", "light" or "outside".'),
    (
        "coop.drinker",
        "size volume litres liters gallons holds",
        'Write capacity = "8 L" for what one holds.',
    ),
    ("coop.drinker", "number", "Write count for how many of them there are."),
    ("coop.feeder", "size weight holds volume kg", 'Write capacity = "6 kg" for what one holds.'),
    ("coop.feeder", "edge space", 'Write length = "60 cm" for the edge they feed at, both sides.'),
    ("coop.vent", "area", 'Write size = "10 cm x 40 cm" for the free opening of one.'),
    (
        "coop.bedding",
        "type kind",
        'Write material = "shavings", straw, hemp, sand, pellets or other.',
    ),
    ("coop.bedding", "thickness amount height", 'Write depth = "10 cm".'),
    ("coop.light", "hours on off timer", "Write programme = true to lengthen short days."),
    (
        "coop.light",
        "brightness intensity lumen",
        "Write lux = 10 for the light at the birds' height.",
    ),
    ("lockup", "time at", 'Limit the time with not_before and not_after, or cap = "22:30".'),
    ("lockup", "offset minutes after", 'Write after_sunset = "30 min" with basis = "sunset".'),
    ("letout", "time at", 'Limit the time with not_before and not_after, such as "07:00".'),
    ("person", "email e_mail e-mail", 'Write the address as mail = "sam@example.org".'),
    (
        "person",
        "phone mobile telephone sms",
        "A phone is reached by push. Write its topic's address as push.",
    ),
    ("person", "topic ntfy notify", 'Write push = "https://push.example.org/topic-name".'),
    ("person", "duty", "The first [[person]] is the one on duty."),
    ("person", "from until days", "Write a sitter's days as first_day and last_day."),
    ("mail", "server smtp", 'Write host = "mail.example.org" for the server that sends our mail.'),
    ("mail", "username login", 'Write user = "hens@example.org" for the name to sign in with.'),
    ("mail", "sender", 'Write from = "hens@example.org" for the address that mail comes from.'),
    ("mail", "ssl tls encryption", 'Write security = "starttls" or "tls".'),
    ("mail", "password", _ELSEWHERE),
    ("reminders", "quiet night", 'Write style = "gentle", "standard" or "all night".'),
    ("web", "url address", 'Write base_url = "https://hens.example.org".'),
    ("web", "port host", 'Write listen = "127.0.0.1:8640", address and port together.'),
)

# Table, key, what is written there, the hint.
_VALUES: tuple[tuple[str, str, str, str], ...] = (
    ("flock", "age", r"\d|week|month|year|day", _HATCHED),
    (
        "flock",
        "age",
        r"chicken|hen|laying|layer|grown|old",
        'For grown birds, write age = "adult".',
    ),
    ("flock", "raised_by", r"brood[yi]|mother", 'For chicks with a hen, write raised_by = "hen".'),
    (
        "flock",
        "raised_by",
        r"heat|lamp|incubat|me\b",
        'For a heat lamp, write raised_by = "brooder".',
    ),
    (
        "flock",
        "raised_by",
        r"farm|shop|breeder|rescue",
        'From elsewhere, write raised_by = "bought".',
    ),
    ("flock", "kind", r".", "Whatever the breed, kind says how heavy they are."),
    (
        "coop",
        "latch",
        r"carabiner|padlock|two|double|key",
        'For a carabiner, write latch = "two-step".',
    ),
    (
        "coop",
        "latch",
        r"hook|bolt|slide|single",
        'If one movement opens it, write latch = "simple".',
    ),
    (
        "coop",
        "type",
        r"mobile|tractor|move|wheel",
        'For a house that is moved, write type = "ark".',
    ),
    (
        "coop",
        "type",
        r"coop|shed|house|barn|hut",
        'For a house that stays put, write type = "fixed".',
    ),
    (
        "coop",
        "door",
        r"auto|light|timer|motor|electr",
        'For a door with a motor, write door = "automatic".',
    ),
    ("coop", "door", r"hand|manual|none|no", 'For a door shut by hand, write door = "manual".'),
    (
        "coop",
        "ranging",
        r"none|never|no\b|run",
        'For birds that never leave the run, write "run only".',
    ),
    ("coop", "ranging", r"free|always|yes", 'For birds out all day, write ranging = "all day".'),
    ("coop.run", "type", r"roof|cover|closed|aviary|safe|mesh", _SECURE),
    (
        "coop.run",
        "type",
        r"fence|garden|net|uncovered|pasture",
        'For anything less, write type = "open".',
    ),
    ("coop.bedding", "material", r"shaving|wood|chip", 'For wood, write material = "shavings".'),
    (
        "",
        "units",
        r"imp|brit|gb",
        'For British feet and gallons, write "uk"; for American ones, "us".',
    ),
    ("", "units", r"usa|americ|custom|fahr", 'For American feet and gallons, write "us".'),
    ("", "units", r"si\b|meter|metre|cels", 'For metres and litres, write "metric".'),
    (
        "site",
        "region",
        r"gb|brit|engl|scot|wales|kingdom",
        'For the United Kingdom, write region = "UK".',
    ),
    ("site", "region", r"usa|americ|u\.s", 'For the United States, write region = "US".'),
    ("site", "region", r".", 'If none of them fits, write region = "other".'),
)


def hint_for_key(key: KeyPath) -> str:
    """The hint for a key that is none; empty where nothing is known of it."""
    *above, last = key
    table, written = _table(above), _plain(str(last))
    found = (
        hint for at, keys, hint in _KEYS if at == table and written in map(_plain, keys.split())
    )
    return next(found, "")


def hint_for_value(key: KeyPath, value: object) -> str:
    """The hint for a word that its key does not take; empty where nothing is known of it."""
    if not key or not isinstance(value, str):
        return ""
    *above, last = key
    place, said = (_table(above), last), value[:60].casefold()
    found = (
        hint
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
