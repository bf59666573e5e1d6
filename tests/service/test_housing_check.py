"""The housing check of a household: by coop, with notes on the whole place."""

from datetime import date

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.climate.curve import averages, hottest_high_c
from scheduler.husbandry.housing import criteria
from scheduler.husbandry.needs import ORDER_FLOOR_M2, RuleSet
from scheduler.profile.quantity import write_quantity
from scheduler.service.household.open_profile import Household
from scheduler.service.housing_check import HousingCheck, housing_check
from tests.alerts.orchard import ANA, HAZEL, SITE, WALNUT
from tests.conftest import declared
from tests.unhurried import unhurried

WINTER = date(2026, 12, 21)
TIGHT = WALNUT.replace("[[flock]]", 'floor = "1 m²"\n[[flock]]')

PARTS = (
    "Temperatures from the climate map, ±1.5\u00a0°C.",
    "Nobody can reach Cleo.",
    "Messages carry no link to the pages",
    "2 other birds are not counted in the figures.",
    "lock-up comes after civil dusk",
    "they have been awake for",
)


def check(
    text: str, catalogue: Catalogue, rules: RuleSet = "backyard", records: Records = NO_RECORDS
) -> HousingCheck:
    household = Household(profile=declared(text, WINTER), catalogue=catalogue)
    return housing_check(household, records, rules, WINTER)


def test_what_was_found_of_one_house_is_that_of_its_own_criteria(catalogue: Catalogue) -> None:
    found = check(SITE + TIGHT + HAZEL, catalogue)
    profile = declared(SITE + TIGHT + HAZEL)
    tight, wide = found.of("walnut"), found.of("hazel")
    hottest_c = hottest_high_c(averages(profile))
    own = criteria(profile, profile.coop[0], "backyard", WINTER, hottest_c)
    assert list(tight.criteria) == list(own)
    assert tight.criteria + wide.criteria == found.criteria
    assert tight.short
    assert not wide.short
    assert [each.coop_id for each in found.purchases] == ["walnut"] * len(tight.purchases)
    assert tight.purchases
    assert [each.birds for each in tight.capacities] == [3]  # 3 sq ft a bird on 1 m²


def test_the_rule_set_is_the_one_asked_for(catalogue: Catalogue) -> None:
    (floor,) = (
        each for each in check(SITE + TIGHT, catalogue, "eu").criteria if each.key == "floor"
    )
    # Council Directive 1999/74/EC, Art. 4: at most nine hens a square metre.
    assert floor.need == pytest.approx(12 / 9)


def test_the_notes_are_in_one_order_and_of_the_whole_place(catalogue: Catalogue) -> None:
    no_climate = SITE.split("[climate]", maxsplit=1)[0]
    early = '[letout]\nnot_before = "09:00"\n[lockup]\nbasis = "sunset"\nafter_sunset = "2 h"\n'
    walnut = WALNUT.replace("hens = 12", "hens = 12\nothers = 2")
    nobody = '[[person]]\nname = "Cleo"\n'
    notes = check(no_climate + early + walnut + nobody, catalogue).notes
    assert [next(part for part in PARTS if part in note) for note in notes] == list(PARTS)
    assert check(SITE + WALNUT + ANA, catalogue).notes[:1] != notes[:1]


@unhurried
def test_k4_newcomers_of_whom_nothing_is_said_are_asked_about(catalogue: Catalogue) -> None:
    new = '[[flock]]\nname = "Pullets"\ncoop = "walnut"\nhens = 4\narrived = {day}\n'

    def asked(extra: str, day: str) -> list[str]:
        text = SITE + WALNUT + new.format(day=day) + extra
        return [note for note in check(text, catalogue).notes if note.startswith("Pullets")]

    (question,) = asked("", "2026-12-03")
    assert "Did you buy them?" in question
    assert 'raised_by = "bought"' in question
    (shared,) = asked('raised_by = "bought"\n', "2026-12-03")
    assert "share Walnut with Girls" in shared
    assert asked('raised_by = "hen"\n', "2026-12-03") == []
    assert asked("", "2026-06-01") == []


def test_the_year_of_the_notes_knows_what_was_reported(catalogue: Catalogue) -> None:
    late = '[lockup]\nbasis = "sunset"\nafter_sunset = "2 h"\n'
    spell = Spell(first=date(2026, 6, 1), last=date(2026, 6, 14))
    visit = Records(reports=(Report(kind="predator", spell=spell),))

    def evenings(records: Records) -> int:
        notes = check(SITE + late + WALNUT, catalogue, records=records).notes
        (note,) = (each for each in notes if "after civil dusk" in each)
        return int(note.split("on ")[1].split()[0])

    # A predator near calls for an early lock-up on fourteen evenings.
    assert evenings(visit) == evenings(NO_RECORDS) - 14


def test_while_an_order_keeps_them_in_all_day_a_note_says_how_many_the_floor_holds(
    catalogue: Catalogue,
) -> None:
    # The same number as the job of the order says: 4 sq ft each (common practice, no source).
    (job,) = (care for care in catalogue if care.id == "order-start")
    assert write_quantity(ORDER_FLOOR_M2, "area", "metric") == "0.37\u00a0m²"
    assert write_quantity(ORDER_FLOOR_M2, "area", "us") == "4.0\u00a0sq ft"
    assert "{4 sq ft = 0.37 m²} each" in str(job.why)
    order = Records(reports=(Report(kind="order", spell=Spell(first=WINTER)),))
    tight = WALNUT.replace("[[flock]]", 'floor = "2 m²"\n[[flock]]')
    roofed = tight.replace("[[flock]]", '[coop.run]\ntype = "secure"\n[[flock]]')

    def said(walnut: str, records: Records) -> list[str]:
        notes = check(SITE + walnut, catalogue, records=records).notes
        return [each for each in notes if "the order in force" in each]

    (note,) = said(tight, order)
    assert note == (
        "Walnut: the order in force keeps them in all day. At 4.0\u00a0sq ft for each grown bird, "
        "there is room for 5 birds, and 12 live there. The bedding gets twice the droppings in "
        "the figures, so stir it twice as often."
    )
    assert said(WALNUT, order)[0].endswith("needs 4.0\u00a0sq ft. Measure the floor inside.")
    assert said(tight, NO_RECORDS) == said(roofed, order) == []


NEWCOMERS = """
[[coop]]
name = "Pen"
[[flock]]
name = "Pullets"
coop = "pen"
hens = 4
hatched = 2026-07-01
arrived = {arrived}
raised_by = "bought"
"""


def test_birds_that_moved_in_with_others_are_asked_since_when(catalogue: Catalogue) -> None:
    came = NEWCOMERS.format(arrived="2026-11-08")  # thirty days apart, a week behind wire
    moved = came.replace('[[coop]]\nname = "Pen"\n', "").replace('"pen"', '"walnut"')

    def asked(newcomers: str) -> list[str]:
        notes = check(SITE + WALNUT + newcomers, catalogue).notes
        return [note for note in notes if "Since when" in note]

    assert asked(came) == asked(f"{moved}joined = 2026-12-17\n") == []
    [note] = asked(moved)
    assert note == (
        "Pullets share Walnut with birds that were there before them. Since when? Say so "
        "(joined = 2026-12-15, or the day it was). Until then, they are taken to have moved in on "
        "Tue 15 Dec, and all stay in the run for two weeks from then."
    )
    assert asked(moved.replace("2026-11-08", "2026-10-01")) == [], "nothing hangs on it any more"


def test_a_house_is_judged_for_the_age_at_which_its_birds_arrive(catalogue: Catalogue) -> None:
    def needs(newcomers: str, arrived: str) -> dict[str, str]:
        found = check(SITE + WALNUT + newcomers.format(arrived=arrived), catalogue).criteria
        return {one.key: str(one.need) for one in found if one.coop_id == "pen"}

    young = NEWCOMERS.replace("hens = 4", "young = 4")
    # Fourteen weeks old on the day of the check, and as large as hens when they come.
    assert (
        needs(young.replace("2026-07-01", "2026-09-14"), "2027-01-10")["floor"]
        == needs(young, "2026-12-01")["floor"]
    )


def test_what_is_odd_or_left_out_of_a_flock_is_asked_about(catalogue: Catalogue) -> None:
    flocks = {
        "Old": "hatched = 2005-03-01",
        "Later": "arrived = 2030-01-01",
        "Giants": 'mass = "20 kg"',
        "Unknown": "hatched = 2026-12-18",
        "Fluffs": 'age = "chick"\nraised_by = "brooder"',
        "Teens": 'age = "pullet"',
        "Grown": 'young = 2\nage = "adult"',
        "Ageless": "young = 8",
        "Usual": 'hatched = 2025-03-01\nmass = "2.4 kg"',
    }
    text = SITE + WALNUT
    for name, said in flocks.items():
        text += f'[[flock]]\nname = "{name}"\ncoop = "walnut"\nhens = 4\n{said}\n'
    notes = [note for note in check(text, catalogue).notes if note.startswith(tuple(flocks))]
    asked = (
        "Old hatched 21 years ago, in 2005. Is that right?",
        "Later arrive on 2030-01-01, more than a year ahead. Is that right?",
        "Later arrive on Tue 1 Jan. Did you buy them?",
        "Giants weigh 20.0\u00a0kg each. Is that right?",
        # T3: of an age under six weeks it is asked who keeps them warm.
        "Unknown are under 6 weeks old. Are they with a hen or in a brooder?",
        "Fluffs: on which day did they hatch?",
        "Teens: on which day did they hatch?",
        "Grown are said to be adult. Count them as hens and roosters now.",
        "Ageless: how old are the young ones?",
    )
    assert len(notes) == len(asked)
    assert all(note.startswith(start) for note, start in zip(notes, asked, strict=True)), notes


@pytest.mark.parametrize("name", ["Girls (a = [b])", "Pen 3 m (push)", "{12 m} (x = y)"])
def test_a_page_leaves_out_the_keys_of_the_profile_and_nothing_of_a_name(
    catalogue: Catalogue, name: str
) -> None:
    text = (
        SITE + WALNUT + f'[[flock]]\nname = "{name}"\ncoop = "walnut"\nyoung = 4\nage = "chick"\n'
    )
    found = check(text, catalogue)
    whole = [each for each in found.notes if "did they hatch" in each]
    on_page = [each for each in found.page_notes if "did they hatch" in each]
    asked = f"{name}: on which day did they hatch? Say so"
    assert [each.startswith(f"{asked} (hatched = 2026-12-21) instead of") for each in whole] == [
        True
    ]
    assert [each.startswith(f"{asked} instead of") for each in on_page] == [True]
    assert len(found.notes) == len(found.page_notes)
