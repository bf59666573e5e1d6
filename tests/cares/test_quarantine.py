"""Birds that were bought: thirty days apart, tended last, without ranging or mixing."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares import reasons
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan, Plan
from scheduler.cares.done_and_waiting import waiting
from scheduler.cares.flock_dates import held_back
from scheduler.cares.free_range import CALL_IN_EARLY, FreeRange
from scheduler.cares.newcomer import Newcomer
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.feeds.door_events import lockup_events
from scheduler.feeds.job_events import job_events
from scheduler.light.sun import At
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.household.open_profile import Household
from scheduler.service.housing_check import housing_check
from scheduler.wording.spoken import short_day

Declare = Callable[[str], Profile]
DAY = timedelta(days=1)
CAME = date(2025, 4, 1)
LAST = CAME + 29 * DAY
PLACE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
"""
PEN = '[[coop]]\nname = "Pen"\n'
PULLETS = """
[[flock]]
name = "Pullets"
coop = "pen"
hens = 4
arrived = 2025-04-01
hatched = 2025-01-14
raised_by = "bought"
"""
TEXT = PLACE + PEN + PULLETS
MOVED = LAST + 8 * DAY  # when the plan puts them with the others
JOINED = PLACE + PULLETS.replace('coop = "pen"', 'coop = "walnut"')


def days(profile: Profile, catalogue: Catalogue, first: date, last: date) -> Plan:
    return plan(profile, NO_RECORDS, first, last, catalogue)


def dates_of(planned: Plan, care_id: str) -> list[date]:
    return [day.day for day in planned.days for task in day.tasks if task.care_id == care_id]


def pen(day: DayPlan) -> object:
    return next(coop.free_range for coop in day.coops if coop.coop_id == "pen")


@pytest.mark.parametrize("ranging", ["supervised", "all day", "run only"])
def test_k4_the_day_of_the_quarantine_stands_with_the_house_and_in_the_round(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    profile = declare(PLACE + PEN + f'ranging = "{ranging}"\n' + PULLETS)
    planned = days(profile, catalogue, CAME, LAST)
    for number, day in enumerate(planned.days, 1):
        coop = next(one for one in day.coops if one.coop_id == "pen")
        line = day_lines(profile, coop)[0]
        assert (line.key, line.time) == ("quarantine", f"day {number} of 30")
        assert line.reason == (
            "See to Pullets last, with separate boots and tools. "
            "No ranging before Fri 9 May, no mixing before "
            "Thu 8 May."
        )
        morning = day.rounds[0]
        assert morning.lines[-1].text == f"Quarantine, day {number} of 30: see to Pullets last"
        assert f"day {number} of 30" in next(
            event.description for event in job_events(profile, day) if "Morning" in event.title
        )
        assert "quarantine" not in {line.key for line in day_lines(profile, day.coops[0])}


def test_k4_there_is_no_ranging_no_mixing_and_no_outing_in_quarantine(
    declare: Declare, catalogue: Catalogue
) -> None:
    # They come of age to see the others, and to be put with them, within the thirty days.
    planned = days(declare(TEXT), catalogue, CAME, LAST + 10 * DAY)
    in_it, after = planned.days[:30], planned.days[30:]
    assert {pen(day) for day in in_it} == {"quarantine"}
    assert "quarantine" not in {pen(day) for day in after}
    for care_id in ("mixing-see", "mixing-together", "mixed-feed", "settle-over"):
        assert not [day for day in dates_of(planned, care_id) if day <= LAST], care_id
    assert dates_of(planned, "settle-over") == [LAST + 9 * DAY]  # on the day before they may move
    assert dates_of(planned, "mixing-together")[0] == LAST + 8 * DAY  # 8 May, as the house says
    assert dates_of(planned, "quarantine-over") == [LAST + DAY]


@pytest.mark.parametrize("ranging", ["supervised", "run only"])
def test_k4_a_first_outing_is_never_on_a_day_without_ranging(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    own = PULLETS.replace('raised_by = "bought"\n', "").replace("2025-01-14", "2024-01-14")
    profile = declare(PLACE + PEN + f'ranging = "{ranging}"\n' + own)
    order = Report(kind="order", spell=Spell(first=CAME + 10 * DAY, last=CAME + 20 * DAY))
    records = Records(reports=(order,))
    planned = plan(profile, records, CAME, CAME + 60 * DAY, catalogue)
    # Fourteen days to settle in, then a week behind wire, of which the order takes none.
    expected = [CAME + 29 * DAY] if ranging == "supervised" else []
    assert dates_of(planned, "settle-over") == expected


def test_a_first_outing_comes_a_fortnight_after_they_have_moved_in_with_the_others(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Let out on the evening of the move, they go home to the house that they left.
    apart = declare(TEXT)
    moved = declare(JOINED)
    late = declare(f"{JOINED}joined = {MOVED + 16 * DAY}\n")
    for profile, after in ((apart, 9), (moved, 22), (late, 38)):
        planned = days(profile, catalogue, CAME, LAST + 50 * DAY)
        assert dates_of(planned, "settle-over") == [LAST + after * DAY]
    titles = {t.title for d in planned.days for t in d.tasks if t.care_id == "settle-over"}
    [title] = titles  # they were out before, from the pen
    assert title.startswith("First outing for Pullets from Walnut, watched, ")
    before = days(late, catalogue, MOVED, MOVED + 15 * DAY)
    assert all(isinstance(day.coops[0].free_range, FreeRange) for day in before.days)
    for profile, first in ((moved, MOVED), (late, MOVED + 16 * DAY)):
        planned = days(profile, catalogue, first - DAY, first + 14 * DAY)
        kept = [day.day for day in planned.days if day.coops[0].free_range == "newly moved"]
        # Nobody can let eight birds out of a run and keep four in it.
        assert kept[-14:] == [first + n * DAY for n in range(14)]
        assert isinstance(planned.days[-1].coops[0].free_range, FreeRange)
    last_week = days(moved, catalogue, LAST + 29 * DAY, LAST + 36 * DAY)
    early = {
        day.day
        for day in last_week.days
        for coop in day.coops
        if isinstance(coop.free_range, FreeRange)
        and isinstance(coop.sunset, At)
        and coop.free_range.call_in <= coop.sunset.instant - CALL_IN_EARLY
    }
    assert max(early) == LAST + 35 * DAY  # a fortnight of early calls from that day on


def test_a_first_outing_says_in_the_morning_when_they_are_out_and_called_in(
    declare: Declare, catalogue: Catalogue
) -> None:
    day = LAST + 9 * DAY
    for ranging, minutes in (("supervised", 30), ("all day", 60)):
        text = TEXT.replace(PEN, f'{PEN}ranging = "{ranging}"\n')
        profile = declare(text)
        [planned] = plan(profile, NO_RECORDS, day, day, catalogue).days
        morning = planned.rounds[0]
        titles = [task.title for task in morning.tasks if task.care_id == "settle-over"]
        spell = planned.coops[1].free_range
        assert isinstance(spell, FreeRange)
        out, back = (
            local_clock(at, profile.site.zone, "UK")
            for at in (spell.call_in - timedelta(minutes=minutes), spell.call_in)
        )
        assert titles == [f"First outing for Pullets, watched, {out} to {back}"]


def ill(first: date, last: date | None, house: str = "pen") -> Records:
    noted = Report(
        kind="illness", spell=Spell(first=first, last=last), house_id=house, signs=("hunched",)
    )
    return Records(reports=(noted,))


def test_k4_no_outing_ends_a_quarantine_in_which_signs_to_be_reported_were_noted(
    declare: Declare, catalogue: Catalogue
) -> None:
    [noted] = ill(CAME + 9 * DAY, LAST + 4 * DAY).reports
    told = Records(reports=(replace(noted, signs=("breathing",)),))
    planned = plan(declare(TEXT), told, CAME, LAST + 45 * DAY, catalogue)
    assert {day.coops[0].free_range for day in planned.days[9:34]} == {"ill birds"}
    assert {pen(day) for day in planned.days[:64]} == {"quarantine"}
    assert dates_of(planned, "settle-over") == [LAST + 43 * DAY]


def test_an_illness_starts_the_thirty_days_again_on_the_day_after_its_end(
    declare: Declare, catalogue: Catalogue
) -> None:
    # "Any illness needs a vet and starts the 30 days again", as the job of the first day says.
    profile, over = declare(TEXT), CAME + 44 * DAY
    told = ill(CAME + 9 * DAY, CAME + 13 * DAY)
    planned = plan(profile, told, CAME, over + 12 * DAY, catalogue)
    counted = [*range(1, 10), *[0] * 5, *range(1, 31)]
    for number, day in zip(counted, planned.days, strict=False):
        coop = next(one for one in day.coops if one.coop_id == "pen")
        words = f"day {number} of 30" if number else "30 days again after illness"
        line = day_lines(profile, coop)[0]
        assert (line.key, line.time, pen(day)) == ("quarantine", words, "quarantine")
        assert day.rounds[0].lines[-1].text == f"Quarantine, {words}: see to Pullets last"
        assert coop.let_out.basis == "quarantine"
    assert dates_of(planned, "quarantine-day") == [CAME + n * DAY for n in range(44)]
    assert dates_of(planned, "quarantine-over") == [over]
    assert dates_of(planned, "settle-over") == [over + 8 * DAY]
    assert not [task for d in planned.days[:44] for task in d.tasks if "mix" in task.care_id]
    during = planned.days[10].coops[1]
    assert day_lines(profile, during)[0].reason == (
        "See to Pullets last, with separate boots and tools. "
        "No ranging before Fri 23 May, no mixing before Thu 22 "
        "May. The 30 days start again when the illness is over."
    )


@pytest.mark.parametrize(
    ("first", "last", "over"),
    [
        (CAME - 9 * DAY, CAME - 5 * DAY, CAME + 30 * DAY),  # before they came
        (LAST + DAY, LAST + 2 * DAY, CAME + 62 * DAY),  # at its last look
        (LAST + 2 * DAY, LAST + 3 * DAY, CAME + 63 * DAY),  # behind wire, and not yet with others
        (LAST + 8 * DAY, LAST + 8 * DAY, CAME + 68 * DAY),  # on the day itself
        (LAST + 9 * DAY, None, CAME + 30 * DAY),  # when they were with the others
        (CAME + 3 * DAY, CAME + 2 * DAY, CAME + 33 * DAY),  # over on the day that it was noted
        (CAME + 3 * DAY, None, None),
    ],
)
def test_an_illness_counts_from_the_first_day_to_the_last_look(
    declare: Declare, catalogue: Catalogue, first: date, last: date | None, over: date | None
) -> None:
    planned = plan(declare(TEXT), ill(first, last), LAST, CAME + 70 * DAY, catalogue)
    # It was over once already where the illness came after it.
    was_over = [CAME + 30 * DAY] if LAST + DAY < first < LAST + 9 * DAY else []
    assert dates_of(planned, "quarantine-over") == [*was_over, *([over] if over else [])]


def test_beside_birds_that_never_range_they_range_before_they_are_mixed(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT.replace('"Walnut"\n', '"Walnut"\nranging = "run only"\n', 1))
    planned = days(profile, catalogue, CAME, CAME + 40 * DAY)
    assert day_lines(profile, planned.days[0].coops[1])[0].reason == (
        "See to Pullets last, with separate boots and tools. "
        "No ranging before Thu 1 May, no mixing before Thu 8 "
        "May."
    )
    assert dates_of(planned, "settle-over") == [date(2025, 5, 1)]
    assert dates_of(planned, "mixing-together")[0] == date(2025, 5, 8)


def test_birds_raised_here_are_not_put_with_the_others_under_an_order_either(
    declare: Declare, catalogue: Catalogue
) -> None:
    own = PULLETS.replace('raised_by = "bought"\n', 'raised_by = "brooder"\n')
    own = own.replace("arrived = 2025-04-01\n", "")
    grown = date(2025, 1, 14) + 77 * DAY
    order = Report(kind="order", spell=Spell(first=grown - DAY, last=grown + 9 * DAY))
    for told, sees in ((NO_RECORDS, grown), (Records(reports=(order,)), grown + 10 * DAY)):
        planned = plan(declare(PLACE + PEN + own), told, CAME, CAME + 60 * DAY, catalogue)
        assert dates_of(planned, "mixing-see") == [sees]
        assert dates_of(planned, "mixing-together")[0] == sees + 7 * DAY


def test_an_illness_without_an_end_asks_for_its_end(declare: Declare, catalogue: Catalogue) -> None:
    profile, told = declare(TEXT), ill(CAME + 3 * DAY, None)
    [day] = plan(profile, told, LAST + DAY, LAST + DAY, catalogue).days
    assert day_lines(profile, day.coops[1])[0].reason == (
        "See to Pullets last, with separate boots and tools. "
        "No ranging, no mixing for now. The 30 days start again "
        "when the illness is over: end its report then."
    )


def test_what_waits_of_a_quarantine_that_began_again_is_not_asked_any_more(
    declare: Declare, catalogue: Catalogue
) -> None:
    # "Wait and ask a vet": the end of the quarantine was not ticked, and then they were ill.
    profile, day = declare(TEXT), LAST + 4 * DAY
    for told, waits in ((NO_RECORDS, True), (ill(LAST + 3 * DAY, None), False)):
        *earlier, today = plan(profile, told, LAST, day, catalogue).days
        off = held_back(profile, told, catalogue, day)
        found = waiting(earlier, today, {}, off=off)
        asked = {task.care_id for line in found for task in line.tasks}
        assert ({"quarantine-over", "mixing-see"} <= asked) is waits
        assert waits or not {"quarantine-over", "mixing-see"} & asked


def test_an_illness_among_others_starts_no_quarantine_again(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Once they have moved in with the others, what those had while they were apart is not theirs.
    moved = PLACE + PULLETS.replace('coop = "pen"', 'coop = "walnut"')
    told = ill(CAME + 9 * DAY, CAME + 13 * DAY, "walnut")
    for text in (TEXT, moved):
        planned = plan(declare(text), told, LAST, LAST + 3 * DAY, catalogue)
        assert dates_of(planned, "quarantine-over") == [LAST + DAY]


def test_bought_birds_of_any_age_see_the_others_before_they_are_put_with_them(
    declare: Declare, catalogue: Catalogue
) -> None:
    # "Then keep wire between them for a week before they mix, chicks from eleven weeks on."
    came = ("2025-01-14", "2024-01-14", "2025-03-25", None)  # pullets, hens, chicks, hens
    for hatched in came:
        born = f"hatched = {hatched}\n" if hatched else ""
        text = TEXT.replace("hatched = 2025-01-14\n", born)
        planned = days(declare(text), catalogue, CAME, CAME + 120 * DAY)
        grown = date(2025, 3, 25) + 77 * DAY if hatched == "2025-03-25" else CAME
        sees = max(LAST + DAY, grown)
        assert dates_of(planned, "mixing-see") == [sees]
        assert dates_of(planned, "mixing-together") == [sees + n * DAY for n in (7, 8, 9)]


def test_strangers_who_were_kept_in_are_not_let_out_together_afterwards(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Of their week behind wire two days were over when the order came.
    profile, until = declare(TEXT), LAST + 40 * DAY
    order = Report(kind="order", spell=Spell(first=LAST + 3 * DAY, last=until))
    told = Records(reports=(order,))
    planned = plan(profile, told, LAST, until + 10 * DAY, catalogue)
    apart = f"Not out of the run before {short_day(until + 7 * DAY)}"
    after = [
        apart in reasons.why_range(profile, day.coops[1]) for day in planned.days if day.day > until
    ]
    assert after == [True] * 6 + [False] * 4
    assert dates_of(planned, "mixing-see") == [LAST + DAY]
    assert dates_of(planned, "mixing-together") == [until + n * DAY for n in (6, 7, 8)]
    # They have hardly been out either, and are called in early for a fortnight.
    new = Newcomer(profile.flock[1], profile.flock[1:], told, until + 5 * DAY)
    assert new.learns_the_way_home()


def test_k4_for_a_week_after_it_they_have_no_hour_in_which_the_others_range(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Its end says so: "Then keep wire between them for a week before they mix".
    apart = "Not out of the run before Fri 9 May: first they get to know the others."

    def said(text: str, house: str, day: date) -> bool:
        profile = declare(text)
        [one] = days(profile, catalogue, day, day).days
        coop = next(coop for coop in one.coops if coop.coop_id == house)
        told = reasons.why_range(profile, coop).endswith(apart)
        assert told is (coop.free_range == "behind wire")
        events = [event for event in lockup_events(profile, one) if house in event.houses]
        assert told is any(apart in event.description for event in events)
        return told

    week = [LAST + n * DAY for n in range(10)]
    assert [said(TEXT, "pen", day) for day in week] == [False, *[True] * 8, False]
    assert not any(said(TEXT, "walnut", day) for day in week)
    joined = PLACE + PULLETS.replace('coop = "pen"', 'coop = "walnut"')
    assert not any(said(joined, "walnut", day) for day in week)
    kept_in = TEXT.replace('name = "Walnut"', 'name = "Walnut"\nranging = "run only"')
    assert not any(said(kept_in, "pen", day) for day in week)


def test_k4_they_are_let_out_after_the_others_at_a_time_of_their_own(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = declare(TEXT)
    planned = days(profile, catalogue, CAME - DAY, LAST + DAY)
    for day in planned.days[2:31]:
        old, new = day.coops
        assert new.let_out.basis == "quarantine"
        assert new.let_out.instant - old.let_out.instant == timedelta(minutes=20)
        assert "in quarantine last" in reasons.why_let_out(profile, new)
        titles = [event.title for event in lockup_events(profile, day)]
        assert len([title for title in titles if title.startswith("Let out")]) == 2
    over = planned.days[31]
    assert over.coops[0].let_out == over.coops[1].let_out
    for before, after in pairwise(planned.days):
        for one, following in zip(before.coops, after.coops, strict=True):
            assert one.let_out.instant < one.lock_up.instant < following.let_out.instant


def test_k4_they_wait_for_birds_that_an_order_keeps_in_and_for_no_empty_house(
    declare: Declare, catalogue: Catalogue
) -> None:
    roofed = PEN + '[coop.run]\ntype = "secure"\n'
    order = Records(reports=(Report(kind="order", spell=Spell(first=CAME)),))
    second = CAME + DAY
    day = plan(declare(PLACE + roofed + PULLETS), order, second, second, catalogue).days[0]
    kept, new = day.coops
    assert (kept.kept_in, new.kept_in) == ("housing order", None)
    assert new.let_out.instant == day.rounds[0].start + timedelta(minutes=20)
    said = reasons.why_let_out(declare(PLACE + roofed + PULLETS), new)
    assert said == (
        "After you have seen to the other birds, whether or not you let them out: see to those "
        "in quarantine last."
    )
    later = PLACE.replace("hens = 12", "hens = 12\narrived = 2025-04-20")
    empty, alone = days(declare(later + roofed + PULLETS), catalogue, CAME, CAME).days[0].coops
    assert alone.let_out.basis != "quarantine"
    assert alone.let_out.instant < empty.let_out.instant


def test_k4_birds_that_are_all_in_quarantine_have_nobody_to_wait_for(
    declare: Declare, catalogue: Catalogue
) -> None:
    alone = declare(
        PLACE.replace("hens = 12", 'hens = 12\narrived = 2025-04-01\nraised_by = "bought"')
    )
    (day,) = days(alone, catalogue, CAME, CAME).days
    assert day.coops[0].let_out.basis != "quarantine"


# K7


@pytest.mark.parametrize("ranging", ["supervised", "run only"])
def test_k7_under_an_order_birds_without_a_roofed_run_are_not_let_out(
    declare: Declare, catalogue: Catalogue, ranging: str
) -> None:
    order = Records(reports=(Report(kind="order", spell=Spell(first=CAME)),))
    text = PLACE.replace('name = "Walnut"', f'name = "Walnut"\nranging = "{ranging}"')
    for run, out in (("", False), ("open", False), ("secure", True)):
        roof = f'[coop.run]\ntype = "{run}"\n' if run else ""
        profile = declare(text.replace("[[flock]]", roof + "[[flock]]"))
        day = plan(profile, order, CAME, CAME, catalogue).days[0]
        lines = {line.key: line for line in day_lines(profile, day.coops[0])}
        let_outs = [e for e in lockup_events(profile, day) if e.title.startswith("Let out")]
        assert (lines["let-out"].time == "not today") is not out
        assert bool(let_outs) is out
        assert lines["range"].reason == (
            "They stay in the covered run: a housing order is in force."
            if out
            else "They stay in the house: a housing order is in force."
        )


def test_birds_that_moved_in_with_the_others_settle_in_for_a_week_without_a_second_quarantine(
    declare: Declare, catalogue: Catalogue
) -> None:
    late = MOVED + 16 * DAY
    for text, moved in (
        (TEXT, None),  # left as it was: nobody sleeps with the others
        (JOINED, MOVED),
        (f"{JOINED}joined = {late}\n", late),
    ):
        planned = days(declare(text), catalogue, MOVED, MOVED + 30 * DAY)
        week = [moved + n * DAY for n in range(7)] if moved else []
        assert dates_of(planned, "mixing-settle") == week
        if moved == late:
            assert dates_of(planned, "mixing-together") == [late]
        assert not [task for d in planned.days for task in d.tasks if "quarantine" in task.care_id]
        assert {coop.quarantine for day in planned.days for coop in day.coops} == {None}


def test_on_the_morning_of_the_move_they_are_told_to_change_the_house_before_noon(
    declare: Declare, catalogue: Catalogue
) -> None:
    # Later in the day the evening goes on by the old profile, and rings for the empty house.
    planned = days(declare(TEXT), catalogue, MOVED - 9 * DAY, MOVED + 20 * DAY)
    # They may move in later as well: it is asked again for three weeks.
    assert dates_of(planned, "mixing-move") == [MOVED + n * 7 * DAY for n in range(3)]
    [morning] = [one for day in planned.days if day.day == MOVED for one in day.rounds[:1]]
    assert morning.name == "morning"
    told = " ".join(line.text for line in morning.lines)
    assert "Moving Pullets in tonight? Change the profile before noon" in told
    assert "quarantine" not in told.lower()
    whys = {t.why for d in planned.days for t in d.tasks if t.care_id == "mixing-move"}
    assert "Leave the arrival as it is, or quarantine begins again" in whys.pop()


def test_birds_that_live_with_the_others_are_not_told_to_change_the_coop_nor_put_with_them_daily(
    declare: Declare, catalogue: Catalogue
) -> None:
    own = PULLETS.replace('raised_by = "bought"', 'raised_by = "{by}"').replace(
        "arrived = 2025-04-01\n", ""
    )
    beside = own.replace('coop = "pen"', 'coop = "walnut"').format(by="hen")
    broody = '[[flock]]\nname = "Broody"\ncoop = "pen"\nhens = 1\n'
    grown = date(2025, 1, 14) + 84 * DAY
    weekly = [grown + n * 7 * DAY for n in range(4)]
    for text, moves, days_together in (
        (TEXT, [MOVED, MOVED + 7 * DAY], 3),
        (JOINED, [], 1),
        (PLACE + beside, [], 1),
        (PLACE.replace("hens = 12", "hens = 12\nyoung = 4\nhatched = 2025-01-14"), [], 1),
        (PLACE + PEN + broody + own.format(by="hen"), weekly, 3),
        (PLACE + PEN + own.format(by="brooder"), weekly, 3),
    ):
        planned = days(declare(text), catalogue, CAME, MOVED + 9 * DAY)
        assert dates_of(planned, "mixing-move") == moves, text
        assert len(dates_of(planned, "mixing-together")) == days_together, text


def test_what_is_tied_to_a_time_of_the_day_shares_its_line_with_nothing(
    declare: Declare, catalogue: Catalogue
) -> None:
    for most in (1, 2, 5):
        profile = declare(f"{TEXT}[rounds]\nlines = {most}\n")
        planned = days(profile, catalogue, MOVED, MOVED + DAY)
        for day, care_id in zip(planned.days, ("mixing-move", "settle-over"), strict=True):
            lines = {task.care_id: line for line in day.rounds[0].lines for task in line.tasks}
            assert [task.care_id for task in lines[care_id].tasks] == [care_id]
        [day] = planned.days[:1]
        lines = {task.care_id: line for line in day.rounds[0].lines for task in line.tasks}
        assert len(lines["mixing-together"].tasks) > 1, "others share one instead"


def test_birds_that_have_just_moved_house_wait_for_their_first_outing_and_may_go_back_to_sleep(
    catalogue: Catalogue,
) -> None:
    whys = {care.id: str(care.why) for care in catalogue}
    assert "Not within two weeks of moving house" in whys["settle-over"]
    assert "go back to their old house to sleep, so look there first" in whys["mixing-settle"]
    assert "Delete a house left empty, or the change is refused" in whys["mixing-move"]


def test_the_check_that_ends_a_quarantine_is_asked_for_before_the_others_are_seen(
    declare: Declare, catalogue: Catalogue
) -> None:
    planned = days(declare(TEXT), catalogue, LAST + DAY, LAST + DAY)
    lines = [line.text for line in planned.days[0].rounds[0].lines]
    [checked, seen] = [
        line for line in lines if "quarantine" in line.lower() or "through wire" in line
    ]
    assert checked == "End the quarantine of Pullets if all are well"
    assert "Let Pullets see the others through wire" in seen


def test_while_an_illness_lasts_no_day_of_the_quarantine_is_counted_anywhere(
    declare: Declare, catalogue: Catalogue
) -> None:
    told = ill(CAME + 9 * DAY, CAME + 13 * DAY)
    planned = plan(declare(TEXT), told, CAME, CAME + 14 * DAY, catalogue)
    shorts = [t.short for d in planned.days for t in d.tasks if t.care_id == "quarantine-day"]
    counted = [f"quarantine {number}/30" for number in range(1, 10)]
    assert shorts == [*counted, *["quarantine goes on"] * 5, "quarantine 1/30"]


def test_t1_newcomers_from_short_days_do_not_sleep_under_the_lamp_of_the_others_yet(
    declare: Declare, catalogue: Catalogue
) -> None:
    lamp = "[coop.light]\nprogramme = true\nfrom = 2024-08-20\n"
    lamp += "[[coop.drinker]]\ntype = 'bell'\ninside = true\n"
    lamp += "[[coop.feeder]]\ntype = 'trough'\ninside = true\n"
    sees, until = date(2025, 1, 9), date(2025, 2, 13)  # 8.1 h, so 14 h five weeks later
    for text in (TEXT, JOINED):
        told = text.replace("2025-04-01", "2024-12-10").replace("2025-01-14", "2024-08-13")
        profile = declare(told.replace('name = "Walnut"\n', 'name = "Walnut"\n' + lamp))
        planned = days(profile, catalogue, sees, until + 8 * DAY)
        tasks = [t for day in planned.days for t in day.tasks if t.care_id == "mixing-settle"]
        onto_the_perch = range(35, 42) if text is JOINED else ()
        assert [(task.day - sees).days for task in tasks] == [0, *range(7, 14), *onto_the_perch]
        # Where the profile has them with the others already there is no coop to change.
        assert dates_of(planned, "mixing-move") == (
            [until, until + 7 * DAY] if text is TEXT else []
        )
        together = [(day - sees).days for day in dates_of(planned, "mixing-together")]
        assert together == [7, 8, 9], "they still come to the others each morning"
        titles = [task.title for task in tasks]
        assert set(titles[:8]) == {
            "Let Pullets sleep apart until Thu 13 Feb; an hour more light a week"
        }
        for title in titles[8:]:
            assert title == "See Pullets onto the perch with the others at dusk"
        assert tasks[0].why.endswith("By day they may be with the others from Thu 16 Jan on.")
        walnut = " ".join(line.reason for line in day_lines(profile, planned.days[8].coops[0]))
        assert ("house them apart until 13 February" in walnut) is (text is JOINED)


def test_an_illness_in_the_pen_that_they_left_stays_their_own(
    declare: Declare, catalogue: Catalogue
) -> None:
    over, told = CAME + 44 * DAY, ill(CAME + 9 * DAY, CAME + 13 * DAY)
    moved = replace(told, left=frozenset({"pen"}))
    for text, known in ((TEXT, told), (JOINED, moved)):
        planned = plan(declare(text), known, CAME + 31 * DAY, over + 20 * DAY, catalogue)
        assert dates_of(planned, "quarantine-over") == [over]
        week = [over + n * DAY for n in range(7, 14)] if text is JOINED else []
        assert dates_of(planned, "mixing-settle") == week
    before = replace(ill(CAME - DAY, None), left=frozenset({"pen"}))
    planned = plan(declare(JOINED), before, CAME, LAST + DAY, catalogue)
    assert dates_of(planned, "quarantine-over") == [LAST + DAY], "was of those before them"


def test_a_new_day_of_arrival_begins_a_quarantine_or_is_asked_about(
    declare: Declare, catalogue: Catalogue
) -> None:
    anew = JOINED.replace("arrived = 2025-04-01", f"arrived = {MOVED}")
    unsaid = anew.replace('raised_by = "bought"\n', "")
    for text, counted in ((anew, 30), (unsaid, 0)):
        profile = declare(text)
        planned = days(profile, catalogue, MOVED, MOVED + 40 * DAY)
        assert len(dates_of(planned, "quarantine-day")) == counted
        household = Household(profile=profile, catalogue=catalogue)
        notes = housing_check(household, NO_RECORDS, "backyard", MOVED).notes
        asked = "f they only changed houses, say on which day they came to you (arrived)."
        assert any(asked in note for note in notes)


@pytest.mark.parametrize("run", ["", "[coop.run]\ntype = 'secure'\n"])
def test_no_word_on_settling_in_says_whether_they_are_let_into_the_run(
    declare: Declare, catalogue: Catalogue, run: str
) -> None:
    # Under an order they are not, where the run has no roof.
    order = Records(reports=(Report(kind="order", spell=Spell(first=CAME)),))
    for told in (NO_RECORDS, order):
        [day] = plan(declare(PLACE + PEN + run + PULLETS), told, CAME, CAME, catalogue).days
        [settled] = [task for task in day.tasks if task.care_id == "settle-in"]
        assert settled.title == "Settle Pullets: lift them onto the perch after dark"
        assert settled.why == (
            "At least two weeks without ranging, in the house and any run they are let into, teach "
            "them where home is. Bought birds stay in quarantine for longer."
        )
