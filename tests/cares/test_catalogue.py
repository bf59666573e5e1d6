import calendar
import re
from collections.abc import Callable
from dataclasses import asdict, fields
from typing import get_args

import pytest

from scheduler.cares import catalogue as cares
from scheduler.cares.catalogue import Care, Catalogue, Mark
from scheduler.cares.catalogue_text import Place, own_text
from scheduler.cares.triggers import (
    Age,
    Arrival,
    ChancePasses,
    ClockChanges,
    Every,
    FirstOuting,
    Joining,
    OwnHouse,
    OwnTimes,
    Quarantined,
    Trigger,
    WeatherSign,
)
from scheduler.husbandry.age import QUARANTINE_DAYS
from scheduler.profile.own_cares import RoundName
from scheduler.profile.units import Region, Units
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.husbandry.housing import HousingCautions

Declare = Callable[[str], Profile]

GARDEN = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
REQUIRED = {
    "ark-move": Every,
    "clock-change": ClockChanges,
    "drinker-scrub": OwnHouse,
    "egg-collection": Every,
    "electric-netting": Every,
    "feed": Every,
    "frost-look": WeatherSign,
    "heat-look": WeatherSign,
    "latch-mesh-test": Every,
    "litter-stirring": OwnHouse,
    "mite-look": Every,
    "nest-refresh": OwnHouse,
    "overhead-netting": Every,
    "perimeter-walk": Every,
    "vents-autumn": ChancePasses,
    "vents-cold": ChancePasses,
    "vents-mild": ChancePasses,
    "vents-open": ChancePasses,
    "water": Every,
}
# What stands in braces besides the words of the region: who and which way, from the trigger.
OWN_WORDS: dict[type, set[str]] = {
    Age: {"flock"},
    Arrival: {"flock"},
    Quarantined: {"flock", "day", "count"},
    Joining: {"flock"},
    FirstOuting: {"flock", "from_house"},
    ClockChanges: {"direction"},
}


@pytest.fixture(scope="session")
def by_id(catalogue: Catalogue) -> dict[str, Care]:
    """The shipped jobs by their id."""
    return {care.id: care for care in catalogue}


def in_force(profile: Profile, catalogue: Catalogue) -> dict[str, Care]:
    return {care.id: care for care in cares.in_force(profile, catalogue)}


@pytest.mark.parametrize(("care_id", "kind"), REQUIRED.items())
def test_a_job_that_nobody_can_do_without_is_there_and_on(
    by_id: dict[str, Care], care_id: str, kind: type
) -> None:
    assert isinstance(by_id[care_id].due, kind)
    assert not by_id[care_id].keen


def test_every_kind_of_trigger_is_in_use(catalogue: Catalogue) -> None:
    assert {type(care.due) for care in catalogue} == set(get_args(Trigger)) - {OwnTimes}


def test_each_job_says_what_why_how_long_and_where_the_number_comes_from(
    catalogue: Catalogue,
) -> None:
    for care in catalogue:
        assert all(
            str(text).strip() == str(text) != "" for text in (care.title, care.short, care.why)
        )
        assert str(care.why).endswith(".")
        # Half an hour at most; a job of the season may take an afternoon.
        assert 0 < care.minutes <= (120 if care.season else 30), care.id
        assert care.round in get_args(RoundName)
        assert care.mark in get_args(Mark)
        assert care.source.strip()
        assert (care.source == "common practice, no source") == (care.mark == "C"), care.id
        assert care.source.endswith(", from memory") == (care.mark == "M"), care.id
        assert ("second-hand" in care.source) == (care.mark == "Q"), care.id
        mixed = "common practice" in care.source and care.mark not in {"C", "Q"}
        assert mixed == (care.mark == "P"), care.id


@pytest.mark.parametrize("region", get_args(Region))
def test_texts_fit_a_telephone(catalogue: Catalogue, region: Region) -> None:
    spoken = {**words(region), "flock": "Pullets", "direction": "forward", "count": "15/30"}
    spoken |= {"day": "30 days again after illness"}
    spoken |= {"feed": "chick starter", "not_chicks": " (not the chicks')"}
    spoken |= {"outing": ", 7:32 pm to 8:02 pm", "from_house": " from Walnut"}
    for care in catalogue:
        for units in get_args(Units):
            title, short, why = (
                text.said(spoken, units) for text in (care.title, care.short, care.why)
            )
            assert len(title) <= 60, care.id
            assert len(why) <= 180, care.id
            assert 1 <= len(short.split()) <= 3, care.id


def test_ids_are_slugs_and_said_once(catalogue: Catalogue) -> None:
    ids = [care.id for care in catalogue]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", care_id) for care_id in ids)


def test_letting_out_ranging_and_locking_up_are_not_jobs_of_a_round(catalogue: Catalogue) -> None:
    for care in catalogue:
        said = f"{care.id} {care.title} {care.short}".lower()
        assert not re.search(r"lock.?up|let.?out|free.?range|close the door|open the door", said)


def test_no_trigger_names_a_month(catalogue: Catalogue) -> None:
    months = {name.lower() for name in (*calendar.month_name, *calendar.month_abbr) if name}
    for care in catalogue:
        parts = re.findall(r"[a-z]+", repr(asdict(care.due)).lower())
        assert not months.intersection(parts), care.id
        assert not {"month", "date", "season"}.intersection(parts), care.id


@pytest.mark.parametrize("region", get_args(Region))
def test_every_word_in_braces_is_known_in_every_region(
    catalogue: Catalogue, region: Region
) -> None:
    for care in catalogue:
        known = words(region).keys() | OWN_WORDS.get(type(care.due), set())
        known |= {"feed"} if care.feed else set()
        known |= {"not_chicks"} if care.only else set()
        for text in (care.title, care.short, care.why):
            places = {part.name for part in text.parts if isinstance(part, Place)}
            assert places <= known, care.id


def test_words_of_one_region_are_not_written_out(catalogue: Catalogue) -> None:
    regional = {"waterer", "roost", "flashlight", "torch", "perch", "drinker", "litter", "bedding"}
    regional |= {"draught", "draughts", "draft", "drafts"}
    for care in catalogue:
        for text in (care.title, care.short, care.why):
            plain = re.findall(r"[a-z]+", re.sub(r"\{\w+\}", "", str(text)).lower())
            assert not regional.intersection(plain), care.id


def test_vents_follow_the_climate_both_ways_with_distance(catalogue: Catalogue) -> None:
    vents = [care for care in catalogue if care.id.startswith("vents-")]
    ways = {
        care.id: (care.due.of, care.due.at, care.due.passing)
        for care in vents
        if isinstance(care.due, ChancePasses)
    }
    # Frost shuts the low vents and heat opens them; each ends later than it began (20 and 10 %).
    assert ways == {
        "vents-cold": ("low", 0, "begins"),
        "vents-mild": ("low", 0, "ends"),
        "vents-open": ("high", 26, "begins"),
        "vents-autumn": ("high", 26, "ends"),
    }
    for care in vents:
        assert isinstance(care.due, ChancePasses)
        assert care.due.group == "vents"
        assert care.due.apart == 14
        assert care.season


def test_published_figures(by_id: dict[str, Care]) -> None:
    # J. C. Hermes, How to Feed Your Laying and Breeding Hens, PNW 477: layer feed at 18-20 weeks.
    layer = by_id["layer-feed"].due
    assert isinstance(layer, Age)
    assert 18 <= layer.weeks <= 20
    # WSU PestSense, Bird mites: egg to adult in as little as seven days.
    mites = by_id["mite-look"].due
    assert isinstance(mites, Every)
    assert mites.extra is not None
    assert mites.extra.days <= 7
    # Hy-Line, Understanding Heat Stress in Layers: from 33 °C birds are in danger.
    heat = by_id["heat-look"].due
    assert isinstance(heat, WeatherSign)
    assert 27 <= heat.at < 33
    emergency = by_id["heat-emergency"].due
    assert isinstance(emergency, WeatherSign)
    assert (emergency.at, emergency.emergency) == (33, True)
    # A. Corey, Hot Weather Management of Poultry: panting starts near 80 °F.
    shade = by_id["heat-shade"].due
    assert isinstance(shade, WeatherSign)
    assert abs(shade.at - (80 - 32) / 1.8) < 0.5
    # Water freezes at 0 °C.
    frost = by_id["frost-look"].due
    assert isinstance(frost, WeatherSign)
    assert frost.at == 0


# H. L. Enos, Brooding and Space Requirements for Poultry, Colorado State Ext. 2.502.
BROODER_F = {0: (93, 95), 1: (88, 90), 2: (83, 85), 3: (78, 80), 4: (75, 75), 5: (70, 70)}
# P. Clauer, Space Should Increase as Birds Grow: sq ft a bird from that week on.
SPACE_SQ_FT = {1: "0.5", 3: "0.75", 5: "1", 8: "1.5"}


def test_the_brooder_cools_by_the_published_bands(by_id: dict[str, Care]) -> None:
    for week, (low_f, high_f) in BROODER_F.items():
        care = by_id[f"brooder-heat-{week}"]
        assert care.due == Age(weeks=week, until=week + 1, raised_by="brooder")
        celsius, fahrenheit = re.findall(r"(\d+(?: to \d+)?) °[CF]", str(care.title))
        assert {int(value) for value in fahrenheit.split(" to ")} == {low_f, high_f}
        wanted_c = {round((value_f - 32) / 1.8) for value_f in (low_f, high_f)}
        assert {int(value) for value in celsius.split(" to ")} == wanted_c
        assert care.only == "hens"  # there are no figures for other birds
    assert len([care_id for care_id in by_id if care_id.startswith("brooder-heat-")]) == 6
    assert by_id["off-heat"].due == Age(weeks=6, raised_by="brooder")


def test_chicks_get_room_by_the_published_table(by_id: dict[str, Care]) -> None:
    for week, sq_ft in SPACE_SQ_FT.items():
        care = by_id[f"chick-space-{week}"]
        assert isinstance(care.due, Age)
        assert care.due.weeks == week
        assert re.search(rf"{{{re.escape(sq_ft)} (to 3 )?sq ft", str(care.title)), care.title


def test_newcomers_stay_apart_for_thirty_days(by_id: dict[str, Care]) -> None:
    # USDA, quoted second-hand by Hobby Farms, 6 Basic Rules: 30 days.
    start, over = by_id["quarantine-start"].due, by_id["quarantine-over"].due
    assert start == Arrival(days=0, raised_by="bought")
    assert over == Quarantined(over=True)
    assert QUARANTINE_DAYS == 30
    # A move: a week shut in, a fortnight without ranging. Common practice, no source.
    assert by_id["settle-in"].due == Arrival(days=0)
    assert by_id["settle-over"].due == FirstOuting()
    assert by_id["quarantine-day"].due == Quarantined()


def test_the_set_for_the_keen_comes_on_top(declare: Declare, catalogue: Catalogue) -> None:
    usual = in_force(declare(GARDEN), catalogue)
    keen = in_force(declare(GARDEN + "[rounds]\nkeen = true\n"), catalogue)
    assert set(usual) == {care.id for care in catalogue if not care.keen}
    assert list(keen) == [care.id for care in catalogue]
    assert set(usual) < set(keen)


def test_a_job_can_be_switched_off_and_a_keen_one_on(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = GARDEN + "[cares.water]\non = false\n[cares.nest-glance]\non = true\n"
    changed = in_force(declare(text), catalogue)
    usual = in_force(declare(GARDEN), catalogue)
    assert set(changed) == set(usual) - {"water"} | {"nest-glance"}
    keen = in_force(declare(text + "[rounds]\nkeen = true\n"), catalogue)
    assert "water" not in keen


def test_a_profile_changes_what_it_names_and_nothing_else(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = """
[cares.drinker-scrub]
every = "5 days"
[cares.feed]
minutes = 9
[cares.egg-collection]
round = "midday"
[cares.mite-look]
text = "Look for mites with Kim"
"""
    before, after = (in_force(declare(GARDEN + more), catalogue) for more in ("", text))
    assert after.pop("drinker-scrub").due == Every(days=5)
    assert after.pop("feed").minutes == 9
    assert after.pop("egg-collection").round == "midday"
    mites = after.pop("mite-look")
    assert mites.title == mites.short == own_text("Look for mites with Kim")
    assert mites.due == before["mite-look"].due
    assert mites.why == before["mite-look"].why
    for care_id, care in after.items():
        assert care == before[care_id]


def test_minutes_may_be_nought(declare: Declare, catalogue: Catalogue) -> None:
    changed = in_force(declare(GARDEN + "[cares.feed]\nminutes = 0\n"), catalogue)
    assert changed["feed"].minutes == 0


def test_a_job_of_the_keepers_own_comes_last(declare: Declare, catalogue: Catalogue) -> None:
    text = """
[[care]]
name = "Grit"
every = "10 days"
[[care]]
name = "Sweep the path"
every = "2 weeks"
minutes = 15
round = "evening"
why = "It gets slippery."
"""
    *_, grit, sweep = cares.in_force(declare(GARDEN + text), catalogue)
    assert (grit.id, grit.title, grit.due, grit.round) == (
        "grit",
        own_text("Grit"),
        OwnTimes(days=10),
        "morning",
    )
    assert (sweep.id, sweep.due, sweep.round) == (
        "sweep-the-path",
        OwnTimes(days=14, phase=7),
        "evening",
    )
    assert (sweep.minutes, sweep.why) == (15, own_text("It gets slippery."))
    assert not sweep.season


def test_a_usual_profile_has_no_problem(declare: Declare, catalogue: Catalogue) -> None:
    assert not list(cares.problems(declare(GARDEN), catalogue))
    fine = '[cares.feed]\nevery = "2 days"\n[cares.vents-cold]\nminutes = 4\n'
    assert not list(cares.problems(declare(GARDEN + fine), catalogue))


def test_an_own_job_with_the_id_of_another_is_a_problem(
    declare: Declare, catalogue: Catalogue
) -> None:
    text = '[[care]]\nname = "Grit"\nevery = "7 days"\n[[care]]\nname = "Water"\nevery = "7 days"\n'
    (problem,) = cares.problems(declare(GARDEN + text), catalogue)
    assert problem.key == ("care", 1, "id")
    assert problem.found == '"water"'
    assert "catalogue" in problem.accepted


@pytest.mark.parametrize(
    "care_id", ["clock-change", "evening-water", "frost-look", "layer-feed", "short-days"]
)
def test_an_interval_where_the_season_decides_is_a_problem(
    declare: Declare, catalogue: Catalogue, care_id: str
) -> None:
    profile = declare(GARDEN + f'[cares.{care_id}]\nevery = "7 days"\n')
    (problem,) = cares.problems(profile, catalogue)
    assert problem.key == ("cares", care_id, "every")
    assert "minutes" in problem.accepted
    assert problem.hint


def test_a_misspelt_part_of_the_packages_file_is_not_swallowed() -> None:
    good = {
        "title": "Grit",
        "short": "grit",
        "why": "They need it.",
        "round": "morning",
        "minutes": 2,
        "set": "default",
        "mark": "C",
        "source": "common practice, no source",
        "due": {"kind": "every", "days": 7},
    }
    (care,) = cares.read({"care": {"grit": good}})
    assert care.due == Every(days=7)
    assert {field.name for field in fields(Care)} >= good.keys() - {"set"}
    for broken in (
        {**good, "due": {"kind": "monthly", "days": 7}},
        {**good, "due": {"kind": "every", "day": 7}},
        {**good, "colour": "red"},
        {key: value for key, value in good.items() if key != "why"},
        {key: value for key, value in good.items() if key != "set"},
    ):
        with pytest.raises((KeyError, TypeError)):
            cares.read({"care": {"grit": broken}})
    for key, text in (
        ("title", "Keep {12 furlongs} apart"),
        ("short", "{beding}"),
        ("why", "At {12 m = 12 ft}."),
        ("why", "At {12 m = 1200 cm}."),
        ("why", "At {5 to 3 m}."),
        ("late", "Below {5 °C"),
    ):
        with pytest.raises(ValueError, match=rf"^catalogue: \[care.grit\] {key}: "):
            cares.read({"care": {"grit": {**good, key: text}}})


def test_t11_hands_cracked_eggs_and_small_children_are_spoken_of_where_they_matter(
    by_id: dict[str, Care],
) -> None:
    # CDC's guidance on backyard poultry, second-hand: hands washed with soap after birds, eggs and
    # coop; no kissing; no child under five touches birds; cracked eggs thrown away; eggs chilled.
    eggs, sheet = (str(by_id[care_id].why) for care_id in ("egg-collection", "sitter-sheet"))
    for told in ("on the floor", "cracked", "dirt", "chill", "Wash your hands"):
        assert told in eggs
    for told in ("wash hands", "cracked eggs", "under five"):
        assert told in sheet
    assert "No kissing, no child under five" in str(by_id["chick-look"].why)
    assert "Wash your hands" in str(by_id["hands-on"].why)
    assert "cracked eggs" in HousingCautions.figures()
