"""What people write in a profile before they know its words, and what they should write there."""

import re

from scheduler.profile.problem import KeyPath

_HENS = 'Grown hens are counted under "hens", cocks under "roosters".'
_YOUNG = 'Birds not yet grown are counted under "young", with hatched = 2026-04-01.'
_OTHERS = 'Ducks, geese, turkeys and guineas are counted under "others".'
_HATCHED = 'The hatch date is written hatched = 2026-04-01; not known: age = "pullet".'
_QUARANTINE = 'For birds bought in, write arrived = 2026-04-01 and raised_by = "bought".'
_BROODY = (
    'Report a broody hen that sleeps elsewhere with "duskfold elsewhere"; chicks that a '
    'hen raises are a flock with raised_by = "hen".'
)
_SIZE = 'The size is written floor = "1.2 m x 2.4 m".'
_PLACE = "Write latitude = 44.3 and longitude = -71.2; south and west are negative."
_SECURE = 'A run that is roofed, meshed and dug in is type = "secure".'
_ELSEWHERE = "Passwords stand in no profile; they are secrets of their own (README)."

# Table, keys that are written there, the hint. A table of a list counts once, whatever its number.
_KEYS: tuple[tuple[str, str, str], ...] = (
    ("", "flocks birds hens chickens ducks", "Birds stand in a table [[flock]], with a name."),
    ("", "coops house houses henhouse", "Houses stand in tables [[coop]], with a name."),
    ("", "people persons keeper keepers contact", "People stand in tables [[person]]."),
    ("", "location place", "The place stands in a table [site]."),
    ("", "latitude longitude timezone region", "That belongs into the table [site]."),
    ("", "run", "The run stands in a table [coop.run], below its [[coop]]."),
    ("", "weather", 'Weather is told with "duskfold weather"; averages stand under [climate].'),
    ("", "jobs tasks", "Jobs are changed under [cares.JOB]; your own stand in tables [[care]]."),
    ("", "alerts alarms notifications", "That is set under [reminders]."),
    ("", "smtp email", "The mail server stands in a table [mail]."),
    ("site", "lat lon lng long coordinates location position", _PLACE),
    ("site", "zone tz time_zone", 'The zone is written timezone = "Europe/Paris".'),
    ("site", "country", "region is one of US, UK, EU, AU and other."),
    ("site", "altitude height", 'Height above sea level is written elevation = "85 m".'),
    ("site", "hill horizon", "The hill in the west is written west_horizon = 5, in degrees."),
    ("flock", "chickens layers birds count number size females laying_hens", _HENS),
    ("flock", "rooster cocks cock cockerel males", _HENS),
    ("flock", "pullets pullet chicks chick cockerels youngsters growers", _YOUNG),
    ("flock", "ducks duck drakes geese goose turkeys guineas guinea_fowl quail quails", _OTHERS),
    ("flock", "hatch hatch_date hatchdate born birthday dob age_weeks weeks", _HATCHED),
    ("flock", "quarantine bought bought_on acquired isolation new", _QUARANTINE),
    ("flock", "broody broodies", _BROODY),
    ("flock", "breed breeds", "kind says how heavy they are: bantam, light, medium or heavy."),
    ("flock", "weight", 'The mass of one grown hen is written mass = "2 kg".'),
    ("flock", "house home", "coop names the house that they sleep in."),
    ("coop", "size area dimensions width length", _SIZE),
    ("coop", "roost roosts perch", "The perches stand in a table [coop.perches]."),
    ("coop", "nest nest_boxes nestboxes nesting_boxes boxes", "Nests stand in [coop.nests]."),
    ("coop", "drinkers waterer waterers water", "Drinkers stand in tables [[coop.drinker]]."),
    ("coop", "feeders feed", "Feeders stand in tables [[coop.feeder]]."),
    ("coop", "vents ventilation windows", "Openings stand in tables [[coop.vent]]."),
    ("coop", "litter", "The bedding stands in a table [coop.bedding]."),
    ("coop", "lamp lights lighting", "A lamp stands in a table [coop.light]."),
    ("coop", "pop_door pophole pop_hole opener automatic_door", 'door = "automatic" or "manual".'),
    ("coop", "lock locks", 'latch = "two-step" (a carabiner counts) or "simple".'),
    ("coop", "capacity", '"duskfold check" says how many birds the house holds.'),
    ("coop", "hens flock birds", "Birds stand in a table [[flock]] of their own."),
    ("coop", "fence netting mesh", "The fence stands in a table [coop.run]."),
    ("coop", "free_range range", 'ranging = "run only", "supervised" or "all day".'),
    ("coop.run", "size area dimensions width length", _SIZE),
    ("coop.run", "roof roofed covered cover secure predator_proof", _SECURE),
    ("coop.run", "fence", 'Fence netting is written netting = "electric" or "overhead".'),
    ("coop.perches", "count number", "length is that of all perches together."),
    ("coop.nests", "number boxes", "count says how many nests there are."),
    ("coop.nests", "location position", 'place = "dark rear", "light" or "outside".'),
    (
        "coop.drinker",
        "size volume litres liters gallons holds",
        'capacity = "8 L": what one holds.',
    ),
    ("coop.drinker", "number", "count says how many of them there are."),
    ("coop.feeder", "size weight holds volume kg", 'capacity = "6 kg": what one holds.'),
    ("coop.feeder", "edge space", 'length = "60 cm": the edge they feed at, both sides.'),
    ("coop.vent", "area", 'size = "10 cm x 40 cm": the free opening of one.'),
    ("coop.bedding", "type kind", 'material = "shavings", straw, hemp, sand, pellets or other.'),
    ("coop.bedding", "thickness amount height", 'depth = "10 cm".'),
    ("coop.light", "hours on off timer", "programme = true lengthens short days by itself."),
    ("coop.light", "brightness intensity lumen", "lux = 10: the light at the birds' height."),
    ("lockup", "time at", 'not_before and not_after bound the time; cap = "22:30".'),
    ("lockup", "offset minutes after", 'after_sunset = "30 min" with basis = "sunset".'),
    ("letout", "time at", 'not_before and not_after bound the time, "07:00".'),
    ("person", "email e_mail e-mail", 'The address is written mail = "sam@example.org".'),
    ("person", "phone mobile telephone sms", "A phone is reached by push: its topic's address."),
    ("person", "topic ntfy notify", 'push = "https://push.example.org/topic-name".'),
    ("person", "duty", "The first [[person]] is the one on duty."),
    ("person", "from until days", "The days of a sitter are first_day and last_day."),
    ("mail", "server smtp", 'host = "mail.example.org": the server that takes our mail.'),
    ("mail", "username login", 'user = "hens@example.org": the name to sign in with.'),
    ("mail", "sender", 'from = "hens@example.org": the address that mail comes from.'),
    ("mail", "ssl tls encryption", 'security = "starttls" or "tls".'),
    ("mail", "password", _ELSEWHERE),
    ("reminders", "quiet night", 'style = "gentle", "standard" or "all night".'),
    ("web", "url address", 'base_url = "https://hens.example.org".'),
    ("web", "port host", 'listen = "127.0.0.1:8640": address and port together.'),
)

# Table, key, what is written there, the hint.
_VALUES: tuple[tuple[str, str, str, str], ...] = (
    ("flock", "age", r"\d|week|month|year|day", _HATCHED),
    ("flock", "age", r"chicken|hen|laying|layer|grown|old", 'Grown birds are age = "adult".'),
    ("flock", "raised_by", r"brood[yi]|mother", 'Chicks with a hen: raised_by = "hen".'),
    ("flock", "raised_by", r"heat|lamp|incubat|me\b", 'Under heat: raised_by = "brooder".'),
    ("flock", "raised_by", r"farm|shop|breeder|rescue", 'From elsewhere: raised_by = "bought".'),
    ("flock", "kind", r".", "kind says how heavy they are, whatever the breed."),
    ("coop", "latch", r"carabiner|padlock|two|double|key", 'A carabiner is latch = "two-step".'),
    ("coop", "latch", r"hook|bolt|slide|single", 'One movement opens it: latch = "simple".'),
    ("coop", "type", r"mobile|tractor|move|wheel", 'A house that is moved is type = "ark".'),
    ("coop", "type", r"coop|shed|house|barn|hut", 'A house that stays is type = "fixed".'),
    (
        "coop",
        "door",
        r"auto|light|timer|motor|electr",
        'A door with a motor is door = "automatic".',
    ),
    ("coop", "door", r"hand|manual|none|no", 'A door shut by hand is door = "manual".'),
    ("coop", "ranging", r"none|never|no\b|run", 'Birds that never leave the run: "run only".'),
    ("coop", "ranging", r"free|always|yes", 'Out all day: ranging = "all day".'),
    ("coop.run", "type", r"roof|cover|closed|aviary|safe|mesh", _SECURE),
    ("coop.run", "type", r"fence|garden|net|uncovered|pasture", 'Anything less is type = "open".'),
    ("coop.bedding", "material", r"shaving|wood|chip", 'Wood is material = "shavings".'),
    ("", "units", r"imp|brit|gb", 'Feet and gallons of Britain: "uk"; of America: "us".'),
    ("", "units", r"usa|americ|custom|fahr", 'Feet and gallons of America: "us".'),
    ("", "units", r"si\b|meter|metre|cels", 'Metres and litres: "metric".'),
    ("site", "region", r"gb|brit|engl|scot|wales|kingdom", 'The United Kingdom: region = "UK".'),
    ("site", "region", r"usa|americ|u\.s", 'The United States: region = "US".'),
    ("site", "region", r".", 'Where none of them fits: region = "other".'),
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
