"""Reports of birds: when eggs may be eaten again, whom to ring, how long a hen has sat."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.birds_today import bird_lines, week_lines
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.plan import plan
from scheduler.cares.records import Records, Report, Sign, Spell
from scheduler.cares.withheld_eggs import asked_about, free_from, withheld
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Region
from scheduler.profile.values import Profile

DAY = timedelta(days=1)
MONDAY = date(2026, 7, 20)


def orchard(*houses: str, region: Region = "UK") -> Profile:
    return Profile(
        units="metric",
        site=Site(
            name="Orchard",
            id="orchard",
            latitude_deg=51.5,
            longitude_deg=-0.1,
            zone=UTC,
            region=region,
        ),
        climate=Climate(coldest_month_low_c=2.0, warmest_month_high_c=24.0),
        coop=tuple(Coop(name=house, id=house.lower()) for house in houses),
        flock=tuple(
            Flock(name=f"Of {house}", id=f"of-{house.lower()}", coop=house.lower(), hens=6)
            for house in houses
        ),
    )


def medicine(
    first: date = MONDAY, days: int = 1, egg_days: int | None = 7, house: str = "walnut"
) -> Report:
    spell = Spell(first=first, last=first + (days - 1) * DAY)
    return Report(kind="medicine", spell=spell, house_id=house, words="Wormex", egg_days=egg_days)


def ill(*signs: Sign, house: str = "walnut") -> Report:
    spell = Spell(first=MONDAY)
    return Report(kind="illness", spell=spell, house_id=house, birds=2, signs=signs)


def planned(profile: Profile, catalogue: Catalogue, day: date, *reports: Report) -> DayPlan:
    return plan(profile, Records(reports=reports), day, day, catalogue).days[0]


def test_the_check_value_of_the_trade() -> None:
    # Common practice, no source: last dose on 3 May, 7 days, first usable on 11 May.
    assert free_from(medicine(date(2026, 5, 3))) == date(2026, 5, 11)


reports_of_medicine = st.builds(
    medicine,
    st.integers(-30, 30).map(lambda n: MONDAY + n * DAY),
    st.integers(1, 10),
    st.one_of(st.none(), st.integers(0, 60)),
)


@given(st.lists(reports_of_medicine, max_size=4), st.integers(-60, 120))
def test_eggs_are_withheld_while_any_medicine_asks_for_it(told: list[Report], after: int) -> None:
    day = MONDAY + after * DAY
    records = Records(reports=tuple(told))
    asked = [
        one
        for one in told
        if one.egg_days != 0
        and one.spell.first <= day
        and one.spell.last
        and (one.egg_days is None or (day - one.spell.last).days <= one.egg_days)
    ]
    found = withheld(records, "walnut", day)
    assert bool(found) == bool(asked)
    assert withheld(records, "barn", day) is None
    if found:
        assert found.free_from == first_day_that_none_withholds(told, day)


def first_day_that_none_withholds(told: list[Report], day: date) -> date | None:
    """Day by day; None where a label is met that nobody has read."""
    while asking := [
        one
        for one in told
        if one.egg_days != 0
        and one.spell.first <= day
        and one.spell.last
        and (one.egg_days is None or (day - one.spell.last).days <= one.egg_days)
    ]:
        if any(one.egg_days is None for one in asking):
            return None
        day += DAY
    return day


def test_a_course_noted_ahead_counts_before_it_begins_where_no_day_is_free_between() -> None:
    first = medicine(days=7, egg_days=3)  # free from day 10
    for starts, egg_days, until in ((9, 7, 17), (10, 7, 18), (11, 7, 10), (9, None, None)):
        ahead = medicine(MONDAY + starts * DAY, egg_days=egg_days)
        found = withheld(Records(reports=(first, ahead)), "walnut", MONDAY)
        assert found
        assert found.free_from == (None if until is None else MONDAY + until * DAY), starts


def test_nobody_knows_until_when_where_one_label_was_not_read() -> None:
    records = Records(reports=(medicine(), medicine(egg_days=None)))
    found = withheld(records, "walnut", MONDAY + 300 * DAY)
    assert found
    assert found.free_from is None
    assert found.until_words == "until the vet or the label says so"
    [line] = bird_lines(orchard("Walnut"), records, MONDAY + 300 * DAY)
    assert "read the label or ask the vet, and note it" in line.text


def test_where_there_are_several_houses_a_treated_hen_takes_the_wait_along() -> None:
    records = Records(reports=(medicine(days=1, egg_days=3),))
    for houses, is_said in ((("Walnut",), False), (("Walnut", "Barn"), True)):
        (line,) = bird_lines(orchard(*houses), records, MONDAY)
        assert ("moves house, it holds there too" in line.text) is is_said


def test_hens_whose_house_the_profile_has_no_more_take_the_wait_along() -> None:
    # Newcomers wormed in a pen of their own move in with the others, and the pen is deleted.
    records = Records(reports=(medicine(days=1, egg_days=3, house="pen"),))
    for houses in (("Walnut",), ("Walnut", "Barn")):
        (line,) = bird_lines(orchard(*houses), records, MONDAY)
        assert (
            line.title == "Birds from Pen: do not eat, give away or sell the eggs before Fri 24 Jul"
        )
        assert "It holds wherever those hens lay" in line.text


def test_the_eggs_of_every_house_may_be_of_treated_hens_whose_house_is_gone(
    catalogue: Catalogue,
) -> None:
    told = medicine(days=1, egg_days=3, house="pen")
    rule = "not to be eaten before Fri 24 Jul if hens from Pen lay here"
    for houses in (("Walnut",), ("Walnut", "Barn")):
        for after, is_said in ((0, True), (3, True), (4, False)):
            day = planned(orchard(*houses), catalogue, MONDAY + after * DAY, told)
            eggs = [task for task in day.tasks if task.care_id == "egg-collection"]
            assert [rule in task.title for task in eggs] == [is_said] * len(houses)
    own = medicine(days=1, egg_days=1)
    day = planned(orchard("Walnut"), catalogue, MONDAY, told, own)
    [task] = [task for task in day.tasks if task.care_id == "egg-collection"]
    assert "before Wed 22 Jul" in task.title, "its own comes first"


def test_which_eggs_are_meant_is_said_of_those_laid_before_it_was_noted_as_well() -> None:
    def laid(day: date, *told: Report) -> str:
        [line] = bird_lines(orchard("Walnut"), Records(reports=told), day)
        return line.text.partition("every egg laid since ")[2].partition(".")[0]

    first, second = medicine(days=2, egg_days=4), medicine(MONDAY + 3 * DAY, egg_days=7)
    assert laid(MONDAY + 2 * DAY, first) == "Mon 20 Jul"
    assert laid(MONDAY + 8 * DAY, first, second) == "Mon 20 Jul", "none was free between them"
    assert laid(MONDAY + 8 * DAY, medicine(egg_days=1), second) == "Thu 23 Jul"


def test_while_a_course_goes_on_the_wait_is_said_to_run_from_its_last_dose() -> None:
    records = Records(reports=(medicine(days=5),))
    for after, starts in (
        (0, "Wormex is still being given. The withdrawal period runs from the last dose (Fri 24 "),
        (4, "Wormex is still being given. The withdrawal period runs from the last dose (Fri 24 "),
        (5, "After Wormex. The withdrawal period runs, by what you read on the label"),
        (6, "After Wormex. The withdrawal period runs, by what you read on the label"),
    ):
        [line] = bird_lines(orchard("Walnut"), records, MONDAY + after * DAY)
        assert line.text.startswith(starts)


def test_of_two_medicines_only_the_one_whose_label_nobody_read_is_called_unread() -> None:
    drops = replace(medicine(MONDAY + DAY, egg_days=None), words="Drops")
    records = Records(reports=(medicine(days=2), drops))
    [line] = bird_lines(orchard("Walnut"), records, MONDAY + DAY)
    assert line.title == (
        "Do not eat, give away or sell the eggs until the vet or the label of Drops says so"
    )
    assert line.text.startswith(
        "After Drops. Wormex is still being given. Nobody has noted the withdrawal period for "
        "eggs after Drops of Tue 21 Jul yet: read the label"
    )
    eggs = withheld(records, "walnut", MONDAY + DAY)
    assert eggs
    assert "until the vet or the label of Drops says so (after Wormex, Drops)" in eggs.why


def test_the_same_product_given_for_longer_counts_from_its_later_last_dose() -> None:
    more = medicine(MONDAY + 2 * DAY, days=3)
    records = Records(reports=(medicine(days=2), more))
    found = withheld(records, "walnut", MONDAY)
    assert found
    assert found.free_from == free_from(more) == date(2026, 8, 1)
    assert found.products == ("Wormex",)
    unread = replace(more, egg_days=None)
    [line] = bird_lines(orchard("Walnut"), Records(reports=(medicine(), unread)), MONDAY + 2 * DAY)
    assert "after Wormex of Wed 22 Jul yet" in line.text, "not for the course that was read"


def test_a_week_says_each_change_of_the_eggs_once() -> None:
    days = [MONDAY + n * DAY for n in range(7)]
    ahead = replace(medicine(MONDAY + 3 * DAY, egg_days=1), words="Drops")
    records = Records(reports=(ill("limping"), ahead))
    found = list(week_lines(orchard("Walnut"), records, days))
    assert [(on.day, line.title) for on, line in found] == [
        (20, "2 ill birds (limping or lame), day 1"),
        (23, "Do not eat, give away or sell the eggs before Sat 25 Jul"),
        (25, "By the label, eggs laid from today (Sat 25 Jul) on may be eaten again"),
    ]


def test_every_job_with_eggs_of_that_house_says_so_and_no_other_house_s(
    catalogue: Catalogue,
) -> None:
    profile = orchard("Walnut", "Barn")
    heat = Report(kind="heat", spell=Spell(first=MONDAY, last=MONDAY), air_c=34.0)
    day = planned(profile, catalogue, MONDAY, medicine(), heat)
    eggs = [task for task in day.tasks if task.care_id.endswith(("-eggs", "egg-collection"))]
    eggs += [task for task in day.tasks if task.care_id == "egg-collection-morning"]
    assert len(eggs) == 6
    for task in eggs:
        told = "not to be eaten before Tue 28 Jul" in task.title
        assert told == (task.subject_id == "walnut"), task.title
        assert ("Do not eat, give away or sell" in task.why) == told
        assert task.short == ("eggs not to be eaten" if told else "eggs")
        assert not (told and "chill" in task.why)


@pytest.mark.parametrize(
    ("region", "word"), [("UK", "withdrawal period"), ("AU", "withholding period")]
)
def test_the_rule_is_said_until_the_day_and_on_the_day_once(region: Region, word: str) -> None:
    profile, records = orchard("Walnut", region=region), Records(reports=(medicine(),))
    [line] = bird_lines(profile, records, MONDAY + 7 * DAY)
    assert line.title == "Do not eat, give away or sell the eggs before Tue 28 Jul"
    assert word in line.text
    [freed] = bird_lines(profile, records, MONDAY + 8 * DAY)
    assert freed.title == "By the label, eggs laid from today (Tue 28 Jul) on may be eaten again"
    assert "as long as your local law requires" in freed.text
    assert bird_lines(profile, records, MONDAY + 9 * DAY) == ()


def test_with_no_days_to_wait_nothing_is_said_of_the_eggs(catalogue: Catalogue) -> None:
    none = medicine(egg_days=0, days=3)
    assert bird_lines(orchard("Walnut"), Records(reports=(none,)), MONDAY) == ()
    day = planned(orchard("Walnut"), catalogue, MONDAY, none)
    assert not any("not to be eaten" in task.title for task in day.tasks)


def test_a_sign_that_has_to_be_reported_comes_first_and_is_urgent(catalogue: Catalogue) -> None:
    profile = orchard("Walnut", "Barn")
    reports = (medicine(house="barn"), ill("limping", house="barn"), ill("blue-comb"))
    first, *_ = bird_lines(profile, Records(reports=reports), MONDAY)
    assert first.title.startswith(
        "Walnut: call your vet or the animal-health authority today: 2 ill birds (blue or purple"
    )
    for said in (
        "local rules",
        "no bird, egg or equipment leave",
        "people and other birds well clear",
    ):
        assert said in first.text
    assert "Wash your hands" in first.text
    urgent = [task for task in planned(profile, catalogue, MONDAY, *reports).tasks if task.urgent]
    assert [(task.care_id, task.subject_id) for task in urgent] == [("illness-call", "walnut")]
    looks = [
        task.subject_id
        for task in planned(profile, catalogue, MONDAY + DAY, *reports).tasks
        if task.care_id == "illness-look"
    ]
    assert looks == ["walnut", "barn"]


def test_signs_that_are_noted_days_later_send_to_the_telephone_on_the_day_they_are() -> None:
    profile, noted = orchard("Walnut", "Barn"), MONDAY + 2 * DAY
    late = replace(ill("swollen-head"), made_at=datetime.combine(noted, time(9), UTC))
    said = {
        number: bird_lines(profile, Records(reports=(late,)), MONDAY + (number - 1) * DAY)[0]
        for number in (3, 4)
    }
    assert said[3].at_once
    assert said[3].title.startswith("Walnut: call your vet or the animal-health authority today:")
    assert not said[4].at_once
    assert said[4].title.startswith("Walnut: day 4: do as your vet")


def test_other_signs_ask_for_a_daily_look_and_no_alarm(catalogue: Catalogue) -> None:
    profile = orchard("Walnut")
    [line] = bird_lines(profile, Records(reports=(ill("limping"),)), MONDAY + DAY)
    assert line.title == "2 ill birds (limping or lame), day 2"
    assert "no better within a day or two" in line.text
    day = planned(profile, catalogue, MONDAY, ill("limping"))
    assert not any(task.urgent for task in day.tasks)


@pytest.mark.parametrize("number", [1, 3])
def test_what_holds_of_the_eggs_on_the_last_day_of_an_illness_is_said_with_it(
    catalogue: Catalogue, number: int
) -> None:
    profile, last = orchard("Walnut"), MONDAY + (number - 1) * DAY
    over = replace(ill("blue-comb"), spell=Spell(first=MONDAY, last=last))
    records = Records(reports=(over,))
    (line,) = bird_lines(profile, records, last)
    assert line.title.endswith("; ends today")
    assert line.at_once is (number == 1)
    assert asked_about(records, "walnut", last)
    assert any(one.urgent for one in planned(profile, catalogue, last, over).tasks) is line.at_once
    assert not bird_lines(profile, records, last + DAY)
    assert not asked_about(records, "walnut", last + DAY)


def test_a_broody_hen_is_counted_by_the_day_and_asked_about_after_twenty_one(
    catalogue: Catalogue,
) -> None:
    profile = orchard("Walnut", "Barn")
    hen = Report(kind="broody", spell=Spell(first=MONDAY), house_id="walnut", birds=1)
    records = Records(reports=(hen,))
    titles = [bird_lines(profile, records, MONDAY + n * DAY)[0].title for n in (4, 20, 21)]
    assert titles == [
        "Walnut: broody hen, day 5",
        "Walnut: broody hen, day 21",
        "Walnut: broody hen, day 22. Is she still sitting?",
    ]
    day = planned(profile, catalogue, MONDAY + 4 * DAY, hen)
    lifted = [task.subject_id for task in day.tasks if task.care_id == "broody-lift"]
    assert lifted == ["walnut"]
