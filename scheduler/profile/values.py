"""What a keeper declares, as frozen values: the profile and its parts.

Field descriptions are the reference: a problem quotes them, and a test finds each key in the docs.
A TOML key is the attribute's name without its unit: `elevation = "85 m"` is `elevation_m`.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Annotated, Literal, Self

from pydantic import (
    AliasGenerator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    model_validator,
)
from pydantic_core import PydanticCustomError

from scheduler.profile.coordinates import SOUTHERNMOST_DEG
from scheduler.profile.fields import (
    Area,
    BaseUrl,
    CivilDate,
    Count,
    Days,
    Elevation,
    HorizonAngle,
    Host,
    Kind,
    Latitude,
    Length,
    Listen,
    Longitude,
    Mail,
    Mass,
    Minutes,
    Name,
    Networks,
    OptionalWallTime,
    Percent,
    Push,
    Slug,
    SunAngle,
    Switch,
    Temperature,
    Text,
    Volume,
    WallTime,
    Zone,
    minutes_from,
    number,
    one_of,
    one_or_more_percent,
    several_minutes,
    steps_from,
)
from scheduler.profile.problem import Problem
from scheduler.profile.units import Region, Units

_UNIT_SUFFIXES = ("_deg", "_m", "_m2", "_l", "_kg", "_c", "_percent", "_minutes")


def toml_key(attribute: str) -> str:
    """The key of an attribute in the file: its name without the unit."""
    for suffix in _UNIT_SUFFIXES:
        if attribute.endswith(suffix):
            return attribute.removesuffix(suffix)
    return attribute


class Value(BaseModel):
    """A frozen table of the profile; unknown keys are refused."""

    model_config = ConfigDict(
        alias_generator=AliasGenerator(alias=toml_key),
        arbitrary_types_allowed=True,
        extra="forbid",
        frozen=True,
        hide_input_in_errors=True,
        validate_by_name=True,
        validate_by_alias=True,
    )


ZONE_LONGITUDE_LIMIT_H = 4
DATE_LINE_DEG = 155  # from here on a zone may count the days of the other side (Kiritimati)
MONTHS = 12
# Longer than any hen lives (the oldest known were about twenty, from memory).
OLDEST_DAYS = 25 * 365
_REFERENCE = datetime(2026, 1, 1, 12, tzinfo=UTC)
_HOUR = timedelta(hours=1)


def _agree(problems: list[Problem]) -> None:
    if problems:
        raise PydanticCustomError("disagreement", "disagreement", {"problems": problems})


def standard_offset_h(zone: tzinfo) -> float:
    """The zone's offset from UTC in hours without summer time, as in January 2026."""
    at = _REFERENCE.astimezone(zone)
    return ((at.utcoffset() or timedelta()) - (at.dst() or timedelta())) / _HOUR


def _months(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


RegionChoice = Annotated[Region, one_of(Region)]
UnitsChoice = Annotated[Units, one_of(Units)]
Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
RoundName = Literal["morning", "midday", "evening"]
LockUpBasis = Literal["light", "angle", "sunset", "visible sunset", "civil dusk"]
LetOutBasis = Literal["civil dawn", "sunrise", "visible sunrise"]
Ranging = Literal["run only", "supervised", "all day"]
AgeClass = Literal["chick", "pullet", "adult"]
RaisedBy = Literal["brooder", "hen", "bought"]
DrinkerKind = Literal["bell", "bucket", "cup", "nipple", "trough"]
FeederKind = Literal["trough", "tube", "treadle"]
ReminderStyle = Literal["gentle", "standard", "all night"]
ReminderStep = Literal["heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn"]
LetOutReminder = Literal["heat", "gentle", "loud", "none"]
MailSecurity = Literal["starttls", "tls"]
BeddingMaterial = Literal["shavings", "straw", "hemp", "sand", "pellets", "other"]


class Site(Value):
    """Where the birds live."""

    name: Name = Field(description="what you call the place")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    latitude_deg: Latitude = Field(description="degrees north, negative in the south")
    longitude_deg: Longitude = Field(description="degrees east, negative in the west")
    zone: Zone = Field(
        alias="timezone",
        description='time zone such as "Europe/Paris"; proposed from the place when left out',
    )
    elevation_m: Elevation = Field(
        default=0.0, description="height above sea level; cools the estimated climate"
    )
    west_horizon_deg: HorizonAngle = Field(
        default=0.0, description="height of the hill or trees the sun sets behind, in degrees"
    )
    east_horizon_deg: HorizonAngle = Field(
        default=0.0, description="height of the hill or trees the sun rises behind, in degrees"
    )
    region: RegionChoice = Field(
        default="other", description="whose words and gallons you use: US, UK, EU, AU or other"
    )

    @model_validator(mode="after")
    def _place_and_zone_agree(self, info: ValidationInfo) -> Self:
        # What a keeper wrote is doubted; the sun's formulas hold at both poles.
        far_south = _too_far_south(self) if info.context else ()
        _agree([*far_south, *_zone_too_far(self)])
        return self


def _too_far_south(site: Site) -> Iterator[Problem]:
    if site.latitude_deg < SOUTHERNMOST_DEG:
        other = f"latitude = {site.longitude_deg:g}, longitude = {site.latitude_deg:g}"
        swaps = abs(site.longitude_deg) <= -SOUTHERNMOST_DEG
        yield Problem(
            key=("latitude",),
            found=f"{site.latitude_deg:g}, which is in Antarctica",
            accepted=f"a latitude from {SOUTHERNMOST_DEG:g} to 90",
            hint=f"Are the two swapped? {other}" if swaps else "Is the sign right?",
        )


def _zone_too_far(site: Site) -> Iterator[Problem]:
    if site.zone is UTC:  # stands for: not known, which has been told
        return
    offset_h = standard_offset_h(site.zone)
    apart_h = abs(offset_h - site.longitude_deg / 15)
    if abs(site.longitude_deg) >= DATE_LINE_DEG:
        apart_h = min(apart_h, abs(24 - apart_h))
    if apart_h <= ZONE_LONGITUDE_LIMIT_H:
        return
    apart = f"{round(apart_h, 1):g} h away from longitude {site.longitude_deg:g}"
    fits_swapped = abs(offset_h - site.latitude_deg / 15) <= 1
    slip = (
        "Are latitude and longitude swapped?"
        if fits_swapped
        else "Is the sign of the longitude right?"
    )
    yield Problem(
        key=("timezone",),
        found=f"{site.zone}, {apart}",
        accepted=f"a zone within {ZONE_LONGITUDE_LIMIT_H} h of the sun at the place",
        hint=f"{slip} East is positive.",
    )


class Climate(Value):
    """The year's averages at the site: two figures, or twelve lows and twelve highs."""

    coldest_month_low_c: Temperature | None = Field(
        default=None, description="average night low of the coldest month"
    )
    warmest_month_high_c: Temperature | None = Field(
        default=None, description="average day high of the warmest month"
    )
    lows_c: Annotated[tuple[Temperature, ...] | None, BeforeValidator(_months)] = Field(
        default=None, description="average night low of each month, January first"
    )
    highs_c: Annotated[tuple[Temperature, ...] | None, BeforeValidator(_months)] = Field(
        default=None, description="average day high of each month, January first"
    )
    humidity_percent: Annotated[tuple[Percent, ...] | None, one_or_more_percent] = Field(
        default=None, description="average relative humidity, one figure or twelve"
    )

    @model_validator(mode="after")
    def _figures_agree(self) -> Self:
        two = [self.coldest_month_low_c, self.warmest_month_high_c]
        twelve = [self.lows_c, self.highs_c]
        problems = []
        if two.count(None) == 1 or twelve.count(None) == 1:
            accepted = "coldest_month_low with warmest_month_high, or lows with highs"
            problems.append(Problem(key=(), found="only one of a pair", accepted=accepted))
        if two != [None, None] and twelve != [None, None]:
            accepted = "the two figures or the twelve, not both"
            problems.append(Problem(key=(), found="both", accepted=accepted))
        for key, values in (
            ("lows", self.lows_c),
            ("highs", self.highs_c),
            ("humidity", self.humidity_percent),
        ):
            if values is not None and len(values) != MONTHS:
                accepted = "twelve values, January first"
                problems.append(
                    Problem(key=(key,), found=f"{len(values)} values", accepted=accepted)
                )
        low, high = two
        if low is not None and high is not None and low >= high:
            found = "a winter low that is not below the summer high"
            problems.append(
                Problem(key=("coldest_month_low",), found=found, accepted="low below high")
            )
        for month, (low, high) in enumerate(
            zip(self.lows_c or (), self.highs_c or (), strict=False)
        ):
            if low > high:
                found = f"a low of {low:g} °C above the high of {high:g} °C"
                problems.append(
                    Problem(key=("lows", month), found=found, accepted="low below high")
                )
        _agree(problems)
        return self


class LockUpRule(Value):
    """When the door is shut in the evening."""

    basis: Annotated[LockUpBasis, one_of(LockUpBasis)] = Field(
        default="light",
        description="what sets the time: light is the earlier of `angle` and `after_sunset`",
    )
    angle_deg: SunAngle = Field(
        default=-4.0, description="elevation of the sun for the bases light and angle"
    )
    after_sunset_minutes: Minutes = Field(
        default=40.0, description="minutes after sunset for the bases light, sunset, visible sunset"
    )
    cap: OptionalWallTime = Field(
        default=time(22, 30), description='clock time nobody stays up past, or "none"'
    )
    not_after: OptionalWallTime = Field(
        default=None, description="never lock up after this time of day"
    )
    not_before: OptionalWallTime = Field(
        default=None,
        description="never lock up before this time of day, but no later than the latest",
    )
    no_sun: WallTime = Field(
        default=time(16), description="lock-up on days on which the sun does not rise"
    )


class LetOutRule(Value):
    """When the door is opened in the morning."""

    basis: Annotated[LetOutBasis, one_of(LetOutBasis)] | None = Field(
        default=None,
        description="civil dawn (default for a secure run), sunrise (open ground), visible sunrise",
    )
    after_minutes: Minutes | None = Field(
        default=None, description="minutes after the basis; 0 for a secure run, 30 on open ground"
    )
    not_before: OptionalWallTime = Field(
        default=time(6, 30), description="never let out before this time of day"
    )
    not_after: OptionalWallTime = Field(
        default=time(9),
        description="never let out after this time of day; by default for a secure run only",
    )
    no_sun: WallTime = Field(default=time(7), description="let-out on days without dawn or sunrise")


class Run(Value):
    """The fenced ground of a coop."""

    type: Annotated[Literal["secure", "open"], one_of(Literal["secure", "open"])] = Field(
        default="open", description="secure: roofed, meshed and dug in; open: anything less"
    )
    floor: Area | None = Field(default=None, description='size of the run, "2 m x 4 m" or an area')
    netting: Annotated[
        Literal["none", "electric", "overhead"], one_of(Literal["none", "electric", "overhead"])
    ] = Field(default="none", description="electric fence netting, or netting overhead")
    mesh_m: Length | None = Field(default=None, description="opening of the mesh")
    buried_m: Length | None = Field(default=None, description="how deep the wire is buried")
    apron_m: Length | None = Field(
        default=None, description="how far the wire is turned out along the ground"
    )
    wire_side: (
        Annotated[Literal["outside", "inside"], one_of(Literal["outside", "inside"])] | None
    ) = Field(default=None, description="side of the posts that the wire is fixed to")


class Perches(Value):
    """The perches (roosts) of a coop."""

    length_m: Length | None = Field(default=None, description="length of all perches together")
    spacing_m: Length | None = Field(default=None, description="gap between parallel perches")
    wall_m: Length | None = Field(default=None, description="gap between a perch and the wall")
    height_m: Length | None = Field(default=None, description="height above the bedding")
    width_m: Length | None = Field(default=None, description="width of the top of the timber")


class Nests(Value):
    """The nest boxes of a coop."""

    count: Count | None = Field(default=None, description="how many nests")
    size: Area | None = Field(default=None, description='floor of one nest, "12 in x 14 in"')
    depth_m: Length | None = Field(default=None, description="depth of the nest's bedding")
    height_m: Length | None = Field(default=None, description="height of the entrance")
    place: (
        Annotated[
            Literal["dark rear", "light", "outside"],
            one_of(Literal["dark rear", "light", "outside"]),
        ]
        | None
    ) = Field(default=None, description="where the nests are")


class Drinker(Value):
    """One kind of drinker (waterer)."""

    type: Annotated[DrinkerKind, one_of(DrinkerKind)] = Field(
        default="bell", description="bell, bucket, cup, nipple or trough"
    )
    capacity_l: Volume | None = Field(default=None, description="what one holds")
    length_m: Length | None = Field(
        default=None, description="drinking edge of one: both sides, or round the rim"
    )
    nipples: Count | None = Field(default=None, description="nipples or cups on one")
    count: Count = Field(default=1, description="how many of them")
    inside: Switch = Field(default=False, description="true when it stands in the house")
    heated: Switch = Field(default=False, description="true when a heater keeps it free of ice")


class Feeder(Value):
    """One kind of feeder."""

    type: Annotated[FeederKind, one_of(FeederKind)] = Field(
        default="trough", description="trough, tube or treadle"
    )
    length_m: Length | None = Field(
        default=None, description="feeding edge of one: both sides, or round the rim"
    )
    capacity_kg: Mass | None = Field(default=None, description="feed that one holds")
    count: Count = Field(default=1, description="how many of them")
    inside: Switch = Field(default=True, description="true when it stands in the house")


class Vent(Value):
    """One kind of ventilation opening."""

    size: Area = Field(description='free opening of one, "10 cm x 40 cm" or an area')
    place: Annotated[Literal["high", "low"], one_of(Literal["high", "low"])] = Field(
        default="high", description="high: above the birds on the perch; low: below"
    )
    height_m: Length | None = Field(default=None, description="middle of the opening, from floor")
    steps: Annotated[int, number(1, 10, whole=True)] = Field(
        default=2, description="settings from shut to open; 1 is an opening that cannot be shut"
    )
    count: Count = Field(default=1, description="how many of them")

    @property
    def area_m2(self) -> float:
        """The free opening of all of them."""
        return self.size.area_m2 * self.count


class Bedding(Value):
    """The bedding (litter) of a coop."""

    material: Annotated[BeddingMaterial, one_of(BeddingMaterial)] = Field(
        default="shavings", description="shavings, straw, hemp, sand, pellets or other"
    )
    depth_m: Length | None = Field(default=None, description="depth on the floor")


class CoopLight(Value):
    """A lamp in the coop."""

    programme: Switch = Field(default=False, description="true to lengthen short days")
    first: CivilDate | None = Field(
        default=None,
        alias="from",
        description="the day the programme began; from there light grows by an hour a week",
    )
    lux: Annotated[float, number(0, 1000)] | None = Field(
        default=None, description="light at bird height"
    )


class Coop(Value):
    """A house and its run."""

    name: Name = Field(description="what you call the house")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    type: Annotated[Literal["fixed", "ark"], one_of(Literal["fixed", "ark"])] = Field(
        default="fixed", description="fixed, or an ark that is moved over the grass"
    )
    floor: Area | None = Field(default=None, description='indoor floor, "1.2 m x 1.8 m" or an area')
    height_m: Length | None = Field(default=None, description="height of the room inside")
    slope_percent: Annotated[float, number(0, 100)] | None = Field(
        default=None, description="slope of the floor in percent; 0 when it is level"
    )
    door: Annotated[Literal["manual", "automatic"], one_of(Literal["manual", "automatic"])] = Field(
        default="manual", description="manual or automatic"
    )
    latch: (
        Annotated[Literal["two-step", "simple"], one_of(Literal["two-step", "simple"])] | None
    ) = Field(default=None, description="two-step (a carabiner counts) or simple")
    ranging: Annotated[Ranging, one_of(Ranging)] = Field(
        default="supervised", description="run only, supervised (before dusk), or all day"
    )
    run: Run | None = Field(default=None, description="the fenced ground")
    perches: Perches | None = Field(default=None, description="the perches (roosts)")
    nests: Nests | None = Field(default=None, description="the nest boxes")
    drinker: tuple[Drinker, ...] = Field(default=(), description="the drinkers (waterers)")
    feeder: tuple[Feeder, ...] = Field(default=(), description="the feeders")
    vent: tuple[Vent, ...] = Field(default=(), description="the ventilation openings")
    bedding: Bedding | None = Field(default=None, description="the bedding (litter)")
    light: CoopLight | None = Field(default=None, description="a lamp in the coop")
    lockup: LockUpRule | None = Field(
        default=None, description="this coop's own lock-up rule, instead of the site's"
    )
    letout: LetOutRule | None = Field(
        default=None, description="this coop's own let-out rule, instead of the site's"
    )


class Flock(Value):
    """Birds that are kept together, counted apart by kind."""

    name: Name = Field(description="what you call the flock")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    coop: Slug = Field(description="id of its coop; may be left out when there is only one")
    hens: Count = Field(default=0, description="laying hens")
    roosters: Count = Field(default=0, description="roosters (cockerels, cocks)")
    young: Count = Field(default=0, description="chicks, pullets and cockerels not yet grown")
    others: Count = Field(default=0, description="ducks and other birds, counted on their own line")
    kind: Annotated[Kind, one_of(Kind)] = Field(
        default="medium", description="bantam, light, medium or heavy"
    )
    mass_kg: Mass | None = Field(default=None, description="mass of one grown hen, if you know it")
    hatched: CivilDate | None = Field(default=None, description="hatch date")
    age: Annotated[AgeClass, one_of(AgeClass)] | None = Field(
        default=None, description="chick, pullet or adult, when the hatch date is not known"
    )
    raised_by: Annotated[RaisedBy, one_of(RaisedBy)] | None = Field(
        default=None, description="brooder, hen or bought"
    )
    arrived: CivilDate | None = Field(default=None, description="the day they moved in")

    @property
    def birds(self) -> int:
        """Every bird of the flock, whatever its kind."""
        return self.hens + self.roosters + self.young + self.others

    def is_there(self, day: date) -> bool:
        """Whether it has arrived and hatched by `day`; beside young the hatch date is theirs."""
        grown = self.young and self.birds > self.young
        hatched = grown or self.hatched is None or self.hatched <= day
        return hatched and (self.arrived is None or self.arrived <= day)

    @model_validator(mode="after")
    def _birds_and_dates_agree(self, info: ValidationInfo) -> Self:
        problems = []
        if not self.birds:
            accepted = "at least one bird in each flock"
            problems.append(Problem(key=("hens",), found="0 birds", accepted=accepted))
        today: date | None = (info.context or {}).get("today")
        if self.hatched and today and self.hatched > today:
            accepted = "a date that has come"
            hint = "Eggs under a hen or a heat lamp become a flock when they hatch."
            problems.append(
                Problem(key=("hatched",), found=str(self.hatched), accepted=accepted, hint=hint)
            )
        for key, day in (("hatched", self.hatched), ("arrived", self.arrived)):
            if day and today and abs((day - today).days) > OLDEST_DAYS:
                accepted = f"a date after {today.year - OLDEST_DAYS // 365}"
                hint = 'If nobody knows when, leave it out and write age = "adult".'
                problems.append(Problem(key=(key,), found=str(day), accepted=accepted, hint=hint))
        if self.hatched and self.arrived and self.arrived < self.hatched:
            accepted = "a day on or after the hatch date"
            problems.append(Problem(key=("arrived",), found=str(self.arrived), accepted=accepted))
        if self.hatched and self.age:
            accepted = "either hatched or age"
            problems.append(Problem(key=("age",), found="both hatched and age", accepted=accepted))
        _agree(problems)
        return self


class Person(Value):
    """Somebody who can be told. The first one is on duty."""

    name: Name = Field(description="what you call each other")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    mail: Mail | None = Field(default=None, description="mail address")
    push: Push | None = Field(default=None, description="push topic address")
    service: Slug | None = Field(
        default=None,
        description="name of another service's address, which is kept as a secret of that name",
    )
    brief: Switch | None = Field(
        default=None, description="true for the morning brief; by default the first person only"
    )
    range_reminder: Switch = Field(
        default=False, description="true to be told when free-range time begins"
    )


class Reminders(Value):
    """How the evening's reminders go on until somebody says that the door is shut."""

    style: Annotated[ReminderStyle, one_of(ReminderStyle)] = Field(
        default="standard", description="gentle, standard or all night"
    )
    steps: Annotated[tuple[ReminderStep, ...], steps_from(ReminderStep)] | None = Field(
        default=None,
        description=(
            "which reminders, of heads-up, now, again, next, everybody, hourly, bedtime, dawn; "
            "by default those of the style"
        ),
    )
    heads_up_minutes: Annotated[float, minutes_from(0, 240)] = Field(
        default=30.0, description="first reminder, before the lock-up"
    )
    everybody: Annotated[tuple[float, ...], several_minutes(0, 240)] | None = Field(
        default=None,
        description=(
            'when everybody is told, after the latest: ["10 min", "25 min", "40 min"], or of the '
            "style"
        ),
    )
    bedtime: WallTime = Field(
        default=time(23), description="the last reminder of the evening, unless all night"
    )
    letout: Annotated[LetOutReminder, one_of(LetOutReminder)] = Field(
        default="heat",
        description=(
            "reminder to let out: heat (on hot days only; the brief has the time of every day), "
            "gentle or loud (every day), or none"
        ),
    )
    brief: OptionalWallTime = Field(
        default=time(7), description='time of the morning brief, or "none"'
    )


class MailServer(Value):
    """The server that takes our mail. Its password is a secret and stands elsewhere."""

    host: Host = Field(description='name of the server, "mail.example.org"')
    port: Annotated[int, number(1, 65535, whole=True)] | None = Field(
        default=None, description="587 for starttls, 465 for tls"
    )
    security: Annotated[MailSecurity, one_of(MailSecurity)] = Field(
        default="starttls", description="starttls or tls; mail is never sent in the clear"
    )
    user: Text | None = Field(default=None, description="name to sign in with")
    sender: Mail = Field(alias="from", description="the address that mail comes from")


class Web(Value):
    """The pages and calendars that `duskfold serve` offers."""

    base_url: BaseUrl | None = Field(
        default=None,
        description=(
            'the address that phones reach the pages by, "https://hens.example.org"; without it '
            "messages carry no link"
        ),
    )
    listen: Listen = Field(
        default="127.0.0.1:8640", description="the address and port that are listened on"
    )
    trusted_proxies: Networks = Field(
        default=(), description="reverse proxies that may say who is asking, by address or network"
    )

    @property
    def local_url(self) -> str:
        """Where the pages are reached on this machine itself."""
        host, _, port = self.listen.rpartition(":")
        own = {"0.0.0.0": "127.0.0.1", "[::]": "[::1]"}  # noqa: S104 - read, not bound
        return f"http://{own.get(host, host)}:{port}"


class Rounds(Value):
    """The walks to the coop."""

    weekly_day: Annotated[Weekday, one_of(Weekday)] = Field(
        default="saturday", description="the day for weekly jobs"
    )
    lines: Annotated[int, number(1, 20, whole=True)] = Field(
        default=5, description="most lines of a round; more jobs share the last line"
    )
    keen: Switch = Field(default=False, description="true for the set for the keen as well")


class CareChange(Value):
    """What a profile changes in one job of the catalogue."""

    on: Switch | None = Field(default=None, description="false to switch the job off, true for on")
    every: Days | None = Field(default=None, description='how often, "5 days"')
    minutes: Annotated[int, number(0, 600, whole=True)] | None = Field(
        default=None, description="how many minutes it takes you"
    )
    round: Annotated[RoundName, one_of(RoundName)] | None = Field(
        default=None, description="morning, midday or evening"
    )
    text: Text | None = Field(default=None, description="your own words for the job")


class OwnCare(Value):
    """A job of the keeper's own."""

    name: Name = Field(description="the job in a few words")
    id: Slug = Field(description="short name used in calendars; made from the name when left out")
    every: Days | None = Field(
        default=None,
        description=(
            'how often, "10 days": counted from `from`, else from the day on which the reminders '
            "first read of it, and from the day it was last done"
        ),
    )
    on: CivilDate | None = Field(default=None, description="once, on that date, instead of every")
    first: CivilDate | None = Field(
        default=None, alias="from", description="the first day on which it is due"
    )
    last: CivilDate | None = Field(
        default=None, alias="until", description="the last day on which it may be due"
    )
    minutes: Annotated[int, number(0, 600, whole=True)] = Field(
        default=5, description="how many minutes it takes you"
    )
    round: Annotated[RoundName, one_of(RoundName)] = Field(
        default="morning", description="morning, midday or evening"
    )
    why: Text = Field(default="Your own job.", description="the reason, shown with the job")

    @model_validator(mode="after")
    def _once_or_again(self) -> Self:
        problems = []
        if self.every is None and self.on is None:
            accepted = "every (how often) or on (a date, for once)"
            problems.append(Problem(key=("every",), found="nothing", accepted=accepted))
        if self.on and (self.every is not None or self.first or self.last):
            accepted = "on alone; or every, with from and until if you like"
            problems.append(Problem(key=("on",), found="on beside the others", accepted=accepted))
        if self.first and self.last and self.last < self.first:
            accepted = f"a day on or after {self.first}"
            problems.append(Problem(key=("until",), found=str(self.last), accepted=accepted))
        _agree(problems)
        return self


class Profile(Value):
    """Everything a keeper declares."""

    units: UnitsChoice = Field(description="metric, us or uk; by default from the region")
    site: Site = Field(description="where the birds live")
    climate: Climate | None = Field(default=None, description="the year's averages at the site")
    lockup: LockUpRule = Field(
        default=LockUpRule(), description="when the door is shut in the evening"
    )
    letout: LetOutRule = Field(
        default=LetOutRule(), description="when the door is opened in the morning"
    )
    rounds: Rounds = Field(default=Rounds(), description="the walks to the coop")
    coop: tuple[Coop, ...] = Field(description="the houses")
    flock: tuple[Flock, ...] = Field(description="the birds")
    person: tuple[Person, ...] = Field(default=(), description="who can be told")
    reminders: Reminders = Field(
        default=Reminders(), description="the evening's reminders and the morning brief"
    )
    mail: MailServer | None = Field(default=None, description="the server that takes our mail")
    web: Web = Field(default=Web(), description="the pages and calendars over HTTP")
    cares: dict[str, CareChange] = Field(
        default={}, description="changes to jobs of the catalogue, by id"
    )
    care: tuple[OwnCare, ...] = Field(default=(), description="jobs of your own")

    def coop_of(self, coop_id: str) -> Coop:
        """The coop with that id.

        Raises:
            KeyError: there is none.
        """
        return {coop.id: coop for coop in self.coop}[coop_id]

    def lock_up_rule(self, coop: Coop) -> LockUpRule:
        """The rule that holds for the coop: its own, else the site's."""
        return coop.lockup or self.lockup

    def let_out_rule(self, coop: Coop) -> LetOutRule:
        """The rule that holds for the coop: its own, else the site's."""
        return coop.letout or self.letout

    def flocks_of(self, coop_id: str) -> tuple[Flock, ...]:
        """The flocks that live in the coop, in the profile's order."""
        return tuple(flock for flock in self.flock if flock.coop == coop_id)

    def flocks_on(self, coop_id: str, day: date) -> tuple[Flock, ...]:
        """Those of them that live there on `day`: whoever arrives or hatches later does not yet."""
        return tuple(flock for flock in self.flocks_of(coop_id) if flock.is_there(day))
