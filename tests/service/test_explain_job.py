"""Why a job or the lock-up is what it is, as rows."""

import re
from datetime import date

import pytest

from scheduler.cares.catalogue import Care, Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.profile.values import Profile
from scheduler.service.household.open_profile import Household
from scheduler.service.jobs.every_job import every_job
from scheduler.service.jobs.explain_job import Labelled, explain
from scheduler.service.jobs.which_job import NoSuchJob, find_job
from tests.alerts.orchard import HAZEL, SITE, WALNUT
from tests.conftest import declared

WINTER = date(2026, 12, 21)


@pytest.fixture
def household(small: Profile, catalogue: Catalogue) -> Household:
    return Household(profile=small, catalogue=catalogue)


def why(household: Household, said: str, records: Records = NO_RECORDS) -> tuple[Labelled, ...]:
    found = find_job(household, said)
    assert not isinstance(found, NoSuchJob)
    return explain(household, records, found, WINTER)


def texts(rows: tuple[Labelled, ...]) -> dict[str, str]:
    return {row.label: row.in_profile or row.text for row in rows}


@pytest.mark.parametrize("said", ["lock-up", " LOCKUP ", "lock up", "latest"])
def test_the_lock_up_is_found_as_people_write_it(household: Household, said: str) -> None:
    assert find_job(household, said) == "lock-up"


def test_a_job_is_found_by_its_id(household: Household) -> None:
    found = find_job(household, "Litter Stirring")
    assert isinstance(found, Care)
    assert found.id == "litter-stirring"


def test_no_such_job_names_those_that_come_near(household: Household) -> None:
    part, slip, nothing = (find_job(household, said) for said in ("netting", "watr", "zzzz"))
    assert isinstance(part, NoSuchJob)
    assert "electric-netting" in part.hint
    assert slip == NoSuchJob('Did you mean "water"?')
    assert find_job(household, "mitess") == NoSuchJob('Did you mean "mites"?')
    assert nothing == NoSuchJob("")


def test_the_lock_up_of_a_house_whose_birds_are_to_come_has_no_time(catalogue: Catalogue) -> None:
    ahead = HAZEL.replace("hens = 6", "hens = 6\narrived = 2026-12-24")
    profile = declared(SITE + WALNUT + ahead)
    rows = why(Household(profile=profile, catalogue=catalogue), "lock-up")
    [hazel] = [row for row in rows if row.coop == "hazel"]
    assert hazel.label == "Hazel"
    assert hazel.text.startswith("no birds tonight. ")
    assert hazel.text.endswith(" come on 24 December.")


def test_a_quarantine_is_the_job_of_each_of_its_days(household: Household) -> None:
    found = find_job(household, "quarantine")
    assert isinstance(found, Care)
    assert found.id == "quarantine-day"


def test_a_job_says_whether_and_when_it_is_due(household: Household) -> None:
    told = texts(why(household, "water"))
    assert told["On that day"] == "due"
    assert told["Next"] == "2026-12-21, 2026-12-22, 2026-12-23, 2026-12-24"
    assert told["Due by"] == "every day"
    assert told["To change"].startswith('[cares.water] every = "5 days"')


def test_the_next_dates_are_those_of_the_plan(household: Household) -> None:
    told = texts(why(household, "mite-look"))
    planned = plan(household.profile, NO_RECORDS, WINTER, date(2027, 3, 31), household.catalogue)
    due = [day.day for day in planned.days if any(t.care_id == "mite-look" for t in day.tasks)]
    assert told["Next"] == ", ".join(str(day) for day in due[:4])


def test_a_report_makes_its_job_due(household: Household) -> None:
    storm = Records(reports=(Report(kind="storm", spell=Spell(first=WINTER, last=WINTER)),))
    assert texts(why(household, "storm-ready"))["On that day"] == "not due"
    assert texts(why(household, "storm-ready", storm))["On that day"] == "due"


def test_a_job_that_is_switched_off_says_how_to_switch_it_on(catalogue: Catalogue) -> None:
    profile = declared(SITE + WALNUT + "[cares.water]\non = false\n")
    told = texts(why(Household(profile=profile, catalogue=catalogue), "water"))
    assert told["Off"] == "not in your plan. To switch it on: [cares.water] on = true"
    assert told["Next"] == "not in the coming year"


@pytest.mark.parametrize(
    ("report", "of"),
    [
        (Report(kind="illness", spell=Spell(first=WINTER), house_id="hazel"), "the illness"),
        (Report(kind="order", spell=Spell(first=WINTER)), "the housing order"),
    ],
)
def test_what_waits_for_the_end_of_a_report_is_not_said_to_come_in_no_year(
    catalogue: Catalogue, report: Report, of: str
) -> None:
    came = HAZEL.replace("hens = 6", 'hens = 6\narrived = 2026-12-15\nraised_by = "bought"')
    household = Household(profile=declared(SITE + WALNUT + came), catalogue=catalogue)
    records = Records(reports=(report,))
    waits = f"not known until the report of {of} is ended"
    jobs = ["mixing-see", "mixing-move", "settle-over"]
    jobs += ["quarantine-over"] if report.kind == "illness" else []
    listed = {job.id: job for job in every_job(household, records, WINTER)}
    for job in jobs:
        assert texts(why(household, job, records))["Next"] == waits
        assert (listed[job].next_due, listed[job].waits) == (None, waits)
        assert texts(why(household, job))["Next"].startswith("20")
    assert listed["grower-feed"].waits == ""


def test_each_house_has_its_own_rows(catalogue: Catalogue) -> None:
    household = Household(profile=declared(SITE + WALNUT + HAZEL), catalogue=catalogue)
    rows = why(household, "lock-up")
    assert [row.text[:8] for row in rows if row.label == "Why"] == ["The sun ", "The sun "]
    assert {row.coop for row in rows} == {"walnut", "hazel"}
    floors = [row for row in why(household, "litter-stirring") if row.coop]
    assert [(row.coop, row.text) for row in floors] == [
        ("walnut", "the floor has not been measured: stir it weekly, and twice a week in the cold"),
        ("hazel", "the floor has not been measured: stir it weekly, and twice a week in the cold"),
    ]


def test_the_lock_up_tells_its_rule_and_bounds(catalogue: Catalogue) -> None:
    rule = '[lockup]\nnot_before = "16:30"\ncap = "none"\n'
    profile = declared(SITE + rule + WALNUT)
    told = texts(why(Household(profile=profile, catalogue=catalogue), "lock-up"))
    assert told["Walnut"] == "lock up 16:30"
    assert (told["Set by"], told["Bounds"], told["Cap"]) == (
        "not before",
        "not before 16:30",
        "none",
    )
    assert told["Sunset"].startswith("15:5")


def test_no_page_tells_a_keeper_of_the_keys_of_the_profile(household: Household) -> None:
    jobs = [care.id for care in household.catalogue]
    for job in (*jobs, "lock-up", "let-out", "range"):
        for row in why(household, job):
            keys = re.findall(r"\[\[?[a-z]+|\b\w+_\w+\b|\w = \S+", row.text)
            assert keys == [], (job, row)
            assert row.text, (job, row.label)


def test_a_job_and_the_lock_up_name_the_report_that_asks_for_them(household: Household) -> None:
    heat = Report(kind="heat", air_c=38.0, spell=Spell(first=WINTER, last=WINTER))
    visit = Report(kind="predator", grade="tried", spell=Spell(first=WINTER))
    both = Records(reports=(heat, visit))
    told = texts(why(household, "heat-emergency", both))
    assert told["Reported"] == "heat of 38\u00a0°C on Mon 21 Dec"
    assert "Reported" not in texts(why(household, "heat-emergency"))
    for job in ("predator-locks", "lock-up"):
        assert "tried to get in on Mon 21 Dec" in texts(why(household, job, both))["Reported"]
        assert "Reported" not in texts(why(household, job))


def test_a_job_that_differs_from_house_to_house_is_told_of_each(catalogue: Catalogue) -> None:
    two = Household(profile=declared(SITE + WALNUT + HAZEL), catalogue=catalogue)
    wormer = Report(
        kind="medicine",
        spell=Spell(first=WINTER, last=WINTER),
        house_id="walnut",
        words="Wormer",
        egg_days=7,
    )
    told = texts(why(two, "egg-collection", Records(reports=(wormer,))))
    assert "not to be eaten before Tue 29 Dec (Walnut); Collect the eggs (Hazel) (" in told["Job"]
    assert told["Why"].startswith("Walnut: Do not eat, give away or sell the eggs")
    assert " Hazel: " in told["Why"]
    assert "(Hazel)" not in texts(why(two, "egg-collection"))["Job"]
