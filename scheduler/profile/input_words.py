"""What is said beside the input for each key: its label, what it is for, how it is measured."""

from collections.abc import Mapping
from types import MappingProxyType

from pydantic import BaseModel

from scheduler.profile.coop import (
    Bedding,
    Coop,
    CoopLight,
    Drinker,
    Feeder,
    Nests,
    Perches,
    Run,
    Vent,
)
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.every_key import ProfileKey
from scheduler.profile.flock import Flock
from scheduler.profile.forecast import Forecasts
from scheduler.profile.move import Move
from scheduler.profile.own_cares import CareChange, OwnCare, Rounds
from scheduler.profile.person import Person, Reminders
from scheduler.profile.sensor import Sensor
from scheduler.profile.servers import MailServer, Web
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Region
from scheduler.profile.usual_duty import UsualDuty
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.profile.alert_inputs import (
    LetOutBasisChoices,
    LetOutMessageChoices,
    LetOutRuleLabels,
    LetOutRulePurposes,
    LockUpBasisChoices,
    LockUpRuleLabels,
    LockUpRulePurposes,
    RemindersLabels,
    RemindersPurposes,
    StepsChoices,
    StyleChoices,
)
from scheduler.wording.profile.bird_inputs import (
    AgeChoices,
    BirdKindChoices,
    FlockLabels,
    FlockMeasures,
    FlockPurposes,
    RaisedByChoices,
)
from scheduler.wording.profile.house_inputs import (
    BeddingLabels,
    BeddingMeasures,
    BeddingPurposes,
    CoopLabels,
    CoopLightLabels,
    CoopLightMeasures,
    CoopLightPurposes,
    CoopMeasures,
    CoopPurposes,
    DoorChoices,
    DrinkerKindChoices,
    DrinkerLabels,
    DrinkerMeasures,
    DrinkerPurposes,
    FeederKindChoices,
    FeederLabels,
    FeederMeasures,
    FeederPurposes,
    HouseKindChoices,
    LatchChoices,
    MaterialChoices,
    NestPlaceChoices,
    NestsLabels,
    NestsMeasures,
    NestsPurposes,
    PerchesLabels,
    PerchesMeasures,
    PerchesPurposes,
    RangingChoices,
    VentLabels,
    VentMeasures,
    VentPlaceChoices,
    VentPurposes,
)
from scheduler.wording.profile.job_inputs import (
    CareChangeLabels,
    CareChangePurposes,
    OwnCareLabels,
    OwnCarePurposes,
    RoundsLabels,
    RoundsPurposes,
    TimeOfDayChoices,
    WeeklyDayChoices,
)
from scheduler.wording.profile.move_inputs import DutyLabels, MoveLabels, MovePurposes
from scheduler.wording.profile.people_inputs import PersonLabels, PersonPurposes, RoleChoices
from scheduler.wording.profile.place_inputs import (
    ClimateLabels,
    ClimateMeasures,
    ClimatePurposes,
    ForecastLabels,
    ForecastPurposes,
    ProfileLabels,
    ProfilePurposes,
    RegionChoices,
    RoundingChoices,
    SensorLabels,
    SensorPurposes,
    SiteLabels,
    SiteMeasures,
    SitePurposes,
    SourcesChoices,
    UnitsChoices,
    WhereChoices,
)
from scheduler.wording.profile.run_inputs import (
    NettingChoices,
    RunKindChoices,
    RunLabels,
    RunMeasures,
    RunPurposes,
    WireSideChoices,
)
from scheduler.wording.profile.server_inputs import (
    MailServerLabels,
    MailServerPurposes,
    SecurityChoices,
    WebLabels,
    WebPurposes,
)
from scheduler.wording.words import Words, every

_NONE: Mapping[str, Words] = MappingProxyType({})
# Labels, purposes and ways to measure, by the table.
_SAID: Mapping[type[BaseModel], tuple[Mapping[str, Words], ...]] = MappingProxyType({
    Profile: (every(ProfileLabels), every(ProfilePurposes), _NONE),
    Site: (every(SiteLabels), every(SitePurposes), every(SiteMeasures)),
    Move: (every(MoveLabels), every(MovePurposes), every(SiteMeasures)),
    UsualDuty: (every(DutyLabels), _NONE, _NONE),
    Climate: (every(ClimateLabels), every(ClimatePurposes), every(ClimateMeasures)),
    Forecasts: (every(ForecastLabels), every(ForecastPurposes), _NONE),
    Sensor: (every(SensorLabels), every(SensorPurposes), _NONE),
    LockUpRule: (every(LockUpRuleLabels), every(LockUpRulePurposes), _NONE),
    LetOutRule: (every(LetOutRuleLabels), every(LetOutRulePurposes), _NONE),
    Rounds: (every(RoundsLabels), every(RoundsPurposes), _NONE),
    Coop: (every(CoopLabels), every(CoopPurposes), every(CoopMeasures)),
    Run: (every(RunLabels), every(RunPurposes), every(RunMeasures)),
    Perches: (every(PerchesLabels), every(PerchesPurposes), every(PerchesMeasures)),
    Nests: (every(NestsLabels), every(NestsPurposes), every(NestsMeasures)),
    Drinker: (every(DrinkerLabels), every(DrinkerPurposes), every(DrinkerMeasures)),
    Feeder: (every(FeederLabels), every(FeederPurposes), every(FeederMeasures)),
    Vent: (every(VentLabels), every(VentPurposes), every(VentMeasures)),
    Bedding: (every(BeddingLabels), every(BeddingPurposes), every(BeddingMeasures)),
    CoopLight: (every(CoopLightLabels), every(CoopLightPurposes), every(CoopLightMeasures)),
    Flock: (every(FlockLabels), every(FlockPurposes), every(FlockMeasures)),
    Person: (every(PersonLabels), every(PersonPurposes), _NONE),
    Reminders: (every(RemindersLabels), every(RemindersPurposes), _NONE),
    MailServer: (every(MailServerLabels), every(MailServerPurposes), _NONE),
    Web: (every(WebLabels), every(WebPurposes), _NONE),
    CareChange: (every(CareChangeLabels), every(CareChangePurposes), _NONE),
    OwnCare: (every(OwnCareLabels), every(OwnCarePurposes), _NONE),
})  # fmt: skip
_CHOICES: Mapping[tuple[type[BaseModel], str], Mapping[str, Words]] = MappingProxyType({
    (Profile, "units"): every(UnitsChoices),
    (Site, "region"): every(RegionChoices),
    (Move, "region"): every(RegionChoices),
    (Forecasts, "sources"): every(SourcesChoices),
    (Forecasts, "rounding"): {"0_01": RoundingChoices.near, "0_1": RoundingChoices.wide},
    (Sensor, "where"): every(WhereChoices),
    (LockUpRule, "basis"): every(LockUpBasisChoices),
    (LetOutRule, "basis"): every(LetOutBasisChoices),
    (Rounds, "weekly_day"): every(WeeklyDayChoices),
    (Coop, "type"): every(HouseKindChoices),
    (Coop, "door"): every(DoorChoices),
    (Coop, "latch"): every(LatchChoices),
    (Coop, "ranging"): every(RangingChoices),
    (Run, "type"): every(RunKindChoices),
    (Run, "netting"): every(NettingChoices),
    (Run, "wire_side"): every(WireSideChoices),
    (Nests, "place"): every(NestPlaceChoices),
    (Drinker, "type"): every(DrinkerKindChoices),
    (Feeder, "type"): every(FeederKindChoices),
    (Vent, "place"): every(VentPlaceChoices),
    (Bedding, "material"): every(MaterialChoices),
    (Flock, "kind"): every(BirdKindChoices),
    (Flock, "age"): every(AgeChoices),
    (Flock, "raised_by"): every(RaisedByChoices),
    (Person, "role"): every(RoleChoices),
    (Reminders, "style"): every(StyleChoices),
    (Reminders, "steps"): every(StepsChoices),
    (Reminders, "letout"): every(LetOutMessageChoices),
    (CareChange, "round"): every(TimeOfDayChoices),
    (OwnCare, "round"): every(TimeOfDayChoices),
    (MailServer, "security"): every(SecurityChoices),
})  # fmt: skip


def label(key: ProfileKey, region: Region) -> str:
    """What its input is called."""
    return _SAID[key.table][0][key.attribute](**words(region))


def purpose(key: ProfileKey, region: Region) -> str:
    """What it is for; "" where its label says so."""
    return _said(key, 1, region)


def measure(key: ProfileKey, region: Region) -> str:
    """How to measure it; "" where it is not measured."""
    return _said(key, 2, region)


def is_measured(key: ProfileKey) -> bool:
    """Whether it is found out by hand, so that it may be unknown for a while."""
    return key.attribute in _SAID[key.table][2]


def choice(key: ProfileKey, option: str) -> str:
    """What one of its options is called; what is none of them, as it is written."""
    found = _CHOICES.get((key.table, key.attribute), _NONE).get(_code(option))
    return found() if found else option


def _said(key: ProfileKey, number: int, region: Region) -> str:
    found = _SAID[key.table][number].get(key.attribute)
    return found(**words(region)) if found else ""


def _code(option: str) -> str:
    return option.replace("-", "_").replace(" ", "_").replace(".", "_")
