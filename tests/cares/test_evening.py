from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.free_range import FreeRange
from scheduler.cares.let_out import LetOut
from scheduler.cares.lock_up import LockUp
from scheduler.cares.records import NO_RECORDS, Records, Report, Sign, Spell
from scheduler.light.sun import At, Crossing, Never, sky_over
from scheduler.profile.coop import Coop, Ranging, Run
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.flock import Flock
from scheduler.profile.site import Site
from scheduler.profile.values import Profile

DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
SECOND = timedelta(seconds=1)
BY_LIGHT = LockUpRule()
BY_DEFAULT = LetOutRule()
HENS = Flock(name="Girls", id="girls", coop="walnut", hens=6)

WINTER = date(2026, 12, 21)
EQUINOX = date(2026, 3, 20)
SUMMER = date(2026, 6, 21)
SUMMER_TIME = timezone(timedelta(hours=1))
OSLO = ZoneInfo("Europe/Oslo")
TROMSO = (69.65, 18.96)
REYKJAVIK = (64.15, -21.94)


def keep(  # noqa: PLR0913 - each is one thing that a keeper may declare
    latitude_deg: float = 51.5,
    longitude_deg: float = 0.0,
    zone: tzinfo = UTC,
    *,
    lockup: LockUpRule = BY_LIGHT,
    letout: LetOutRule = BY_DEFAULT,
    secure: bool = False,
    ranging: Ranging = "supervised",
    flocks: tuple[Flock, ...] = (HENS,),
    west_horizon_deg: float = 0.0,
) -> Profile:
    run = Run(type="secure" if secure else "open")
    return Profile(
        units="metric",
        site=Site(
            name="Hill",
            id="hill",
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            zone=zone,
            west_horizon_deg=west_horizon_deg,
        ),
        lockup=lockup,
        letout=letout,
        coop=(Coop(name="Walnut", id="walnut", ranging=ranging, run=run),),
        flock=flocks,
    )


def fortnight(first: date) -> Spell:
    return Spell(first=first, last=first + 13 * DAY)


def ill(sign: Sign, first: date) -> Records:
    spell = Spell(first=first)
    return Records(reports=(Report(kind="illness", spell=spell, house_id="pen", signs=(sign,)),))


def on(profile: Profile, day: date, records: Records = NO_RECORDS) -> CoopDay:
    return coop_day(profile, sky_over(profile), profile.coop[0], day, records)


def shut_on(profile: Profile, day: date) -> LockUp:
    return on(profile, day).lock_up


def opened_on(profile: Profile, day: date) -> LetOut:
    return on(profile, day).let_out


def passes(profile: Profile, day: date, angle_deg: float) -> datetime:
    return instant(sky_over(profile).crossing(day, "evening", angle_deg))


def instant(crossing: Crossing) -> datetime:
    assert isinstance(crossing, At), crossing
    return crossing.instant


def local(moment: datetime, profile: Profile) -> str:
    return f"{moment.astimezone(profile.site.zone):%H:%M}"


def clock(day: date, at: str, zone: tzinfo = UTC) -> datetime:
    return datetime.combine(day, time.fromisoformat(at), zone).astimezone(UTC)


def near(moment: datetime) -> object:
    """Equal to within the rounding to a whole second."""
    return pytest.approx(moment, abs=timedelta(milliseconds=501))


# Lock-up


def test_the_worked_evening() -> None:
    london = keep(51.5, -0.1, ZoneInfo("Europe/London"))
    evening = on(london, date(2026, 12, 21))
    # Almanacs print 15:53 for this sunset in London, from memory.
    assert local(instant(evening.sunset), london) == "15:53"
    assert local(evening.lock_up.instant, london) == "16:18"
    assert local(evening.lock_up.latest, london) == "16:33"
    assert evening.lock_up.basis == "angle"


@pytest.mark.parametrize("day", [WINTER, EQUINOX, SUMMER])
def test_by_default_the_sun_four_degrees_down_sets_the_time_at_51_north(day: date) -> None:
    garden = keep()
    shut = shut_on(garden, day)
    assert shut.basis == "angle"
    assert shut.instant == near(passes(garden, day, -4.0))
    assert shut.instant < instant(on(garden, day).sunset) + 40 * MINUTE


def test_where_dusk_is_long_forty_minutes_after_sunset_set_the_time() -> None:
    north = keep(60.0)
    shut = shut_on(north, SUMMER)
    assert shut.basis == "sunset_offset"
    assert abs(shut.instant - instant(on(north, SUMMER).sunset) - 40 * MINUTE) <= SECOND
    assert shut.instant < passes(north, SUMMER, -4.0)


def test_where_the_clock_is_ahead_of_the_sun_half_past_ten_sets_the_time() -> None:
    shut = shut_on(keep(60.0, zone=SUMMER_TIME), SUMMER)
    assert shut.basis == "cap"
    assert shut.instant == clock(SUMMER, "22:30", SUMMER_TIME)


def test_without_a_cap_people_stay_up() -> None:
    late = keep(60.0, zone=SUMMER_TIME, lockup=LockUpRule(cap=None))
    shut = shut_on(late, SUMMER)
    assert shut.basis == "sunset_offset"
    assert shut.instant > clock(SUMMER, "23:00", SUMMER_TIME)


@pytest.mark.parametrize("day", [WINTER, EQUINOX, SUMMER])
def test_each_basis_sets_the_time_by_itself(day: date) -> None:
    def moment(rule: LockUpRule) -> datetime:
        shut = shut_on(keep(lockup=rule), day)
        assert shut.basis == named[rule.basis]
        return shut.instant

    named = {"angle": "angle", "sunset": "sunset_offset", "civil dusk": "civil_dusk"}
    garden = keep()
    sunset, dusk = instant(on(garden, day).sunset), passes(garden, day, -6.0)
    late = {"cap": None, "after_sunset_minutes": 120.0}
    assert moment(LockUpRule(basis="angle", angle_deg=-2.5)) == near(passes(garden, day, -2.5))
    assert moment(LockUpRule(basis="angle", angle_deg=-8.0, cap=None)) > dusk
    assert moment(LockUpRule(basis="sunset", after_sunset_minutes=10)) == near(sunset + 10 * MINUTE)
    assert moment(LockUpRule(basis="sunset", after_sunset_minutes=-30)) == near(
        sunset - 30 * MINUTE
    )
    assert moment(LockUpRule.model_validate({"basis": "sunset", **late})) == near(
        sunset + 120 * MINUTE
    )
    assert moment(LockUpRule(basis="civil dusk")) == near(dusk)


def test_the_light_rule_takes_its_own_angle_and_minutes() -> None:
    garden = keep(lockup=LockUpRule(angle_deg=-1.5))
    assert shut_on(garden, WINTER).instant == near(passes(garden, WINTER, -1.5))
    early = keep(lockup=LockUpRule(after_sunset_minutes=5))
    assert shut_on(early, WINTER).basis == "sunset_offset"
    assert shut_on(early, WINTER).instant == near(instant(on(early, WINTER).sunset) + 5 * MINUTE)


def test_a_western_hill_moves_nothing_but_a_lock_up_by_visible_sunset() -> None:
    for basis in ("light", "angle", "sunset", "civil dusk"):
        rule = LockUpRule.model_validate({"basis": basis})
        level, hill = keep(lockup=rule), keep(lockup=rule, west_horizon_deg=8.0)
        for day in (WINTER, EQUINOX, SUMMER):
            assert on(level, day) == on(hill, day)
    seen = LockUpRule(basis="visible sunset", after_sunset_minutes=20)
    level, hill = keep(lockup=seen), keep(lockup=seen, west_horizon_deg=8.0)
    for day in (WINTER, EQUINOX, SUMMER):
        before, behind = on(level, day), on(hill, day)
        assert before.lock_up.basis == behind.lock_up.basis == "visible_sunset"
        assert before.lock_up.instant == near(instant(before.sunset) + 20 * MINUTE)
        # The sun sinks at most 15 degrees an hour: 8 degrees are at least half an hour.
        assert before.lock_up.instant - behind.lock_up.instant > 30 * MINUTE
        assert (before.sunset, before.dusk, before.let_out) == (
            behind.sunset,
            behind.dusk,
            behind.let_out,
        )


def test_a_hill_higher_than_the_winter_sun_leaves_the_light_to_decide() -> None:
    deep = keep(lockup=LockUpRule(basis="visible sunset"), west_horizon_deg=30.0)
    shut = shut_on(deep, WINTER)
    assert shut.basis == "angle"
    assert shut.instant == shut_on(keep(), WINTER).instant


@pytest.mark.parametrize(
    ("cap", "not_after", "expected", "basis"),
    [
        ("15:00", None, "15:00", "cap"),
        ("15:00", "16:00", "15:00", "cap"),
        ("16:00", "15:00", "15:00", "not_after"),
        (None, "15:00", "15:00", "not_after"),
        ("17:00", "18:00", "16:18", "angle"),
    ],
)
def test_cap_and_not_after_only_move_a_lock_up_earlier(
    cap: str | None, not_after: str | None, expected: str, basis: str
) -> None:
    rule = LockUpRule.model_validate({"cap": cap, "not_after": not_after})
    garden = keep(lockup=rule)
    shut = shut_on(garden, WINTER)
    assert local(shut.instant, garden) == expected
    assert shut.basis == basis


@pytest.mark.parametrize(
    ("cap", "not_before", "expected", "basis"),
    [
        (None, "16:00", "16:18", "angle"),  # it is later than that anyway
        (None, "16:25", "16:25", "not_before"),
        (None, "18:00", "16:33", "not_before"),  # held back by the latest
        ("15:00", "15:20", "15:20", "not_before"),  # after the cap
        ("15:00", "16:00", "15:30", "not_before"),  # the cap's latest, half an hour on
    ],
)
def test_not_before_comes_last_and_never_goes_past_the_latest(
    cap: str | None, not_before: str, expected: str, basis: str
) -> None:
    rule = LockUpRule.model_validate({"cap": cap, "not_before": not_before})
    garden = keep(lockup=rule)
    shut = shut_on(garden, WINTER)
    assert local(shut.instant, garden) == expected
    assert shut.basis == basis
    assert shut.latest == shut_on(keep(lockup=LockUpRule(cap=rule.cap)), WINTER).latest
    assert shut.instant <= shut.latest


@pytest.mark.parametrize(
    ("place", "zone", "day"), [(TROMSO, OSLO, WINTER), ((-72.0, 2.5), UTC, SUMMER)]
)
def test_the_sunless_winter_shuts_at_four(
    place: tuple[float, float], zone: tzinfo, day: date
) -> None:
    evening = on(keep(*place, zone), day)
    assert evening.sunset == Never("below")
    assert evening.lock_up.basis == "fallback"
    assert evening.lock_up.instant == clock(day, "16:00", zone)
    early = keep(*place, zone, lockup=LockUpRule(no_sun=time(15, 10)))
    assert shut_on(early, day).instant == clock(day, "15:10", zone)


def test_the_midnight_sun_shuts_at_half_past_ten() -> None:
    bright = on(keep(*TROMSO, OSLO), SUMMER)
    assert bright.sunset == Never("above")
    assert bright.lock_up.instant == clock(SUMMER, "22:30", OSLO)
    for basis in ("light", "angle", "sunset", "visible sunset", "civil dusk"):
        uncapped = LockUpRule.model_validate({"basis": basis, "cap": None})
        shut = shut_on(keep(*TROMSO, OSLO, lockup=uncapped), SUMMER)
        assert shut.instant == clock(SUMMER, "22:30", OSLO)
        assert shut.basis == "fallback"
    early = keep(*TROMSO, OSLO, lockup=LockUpRule(cap=time(21)))
    assert shut_on(early, SUMMER).instant == clock(SUMMER, "21:00", OSLO)


def test_a_white_night_without_the_chosen_angle_falls_back_on_sunset_and_minutes() -> None:
    dusky = keep(62.0, lockup=LockUpRule(basis="civil dusk", cap=None))
    evening = on(dusky, SUMMER)
    assert evening.dusk == Never("above")
    assert evening.lock_up.basis == "sunset_offset"
    assert evening.lock_up.instant == near(instant(evening.sunset) + 40 * MINUTE)


def test_latest_is_civil_dusk() -> None:
    garden = keep()
    for day in (WINTER, EQUINOX, SUMMER):
        assert shut_on(garden, day).latest == near(passes(garden, day, -6.0))


def test_latest_is_at_most_half_an_hour_after_the_lock_up() -> None:
    north = on(keep(59.0), SUMMER)
    assert instant(north.dusk) > north.lock_up.instant + 30 * MINUTE
    assert north.lock_up.latest - north.lock_up.instant == 30 * MINUTE


def test_latest_is_twenty_minutes_after_where_there_is_no_later_dusk() -> None:
    for profile, day in (
        (keep(62.0), SUMMER),  # no dusk at all
        (keep(*TROMSO, OSLO), SUMMER),
        (keep(lockup=LockUpRule(basis="civil dusk")), WINTER),  # the lock-up is the dusk
        (keep(lockup=LockUpRule(basis="angle", angle_deg=-9.0)), WINTER),  # dusk came first
    ):
        shut = shut_on(profile, day)
        assert shut.latest - shut.instant == 20 * MINUTE


# Let-out


def test_a_secure_run_opens_at_civil_dawn() -> None:
    safe = keep(secure=True)
    opened = opened_on(safe, WINTER)
    dawn = sky_over(safe).crossing(WINTER, "morning", -6.0)
    assert opened.basis == "civil_dawn"
    assert opened.instant == near(instant(dawn))


def test_open_ground_opens_half_an_hour_after_sunrise() -> None:
    garden = on(keep(), WINTER)
    assert garden.let_out.basis == "sunrise"
    assert garden.let_out.instant == near(instant(garden.sunrise) + 30 * MINUTE)


@pytest.mark.parametrize("secure", [True, False])
def test_nobody_opens_before_half_past_six(secure: bool) -> None:
    opened = opened_on(keep(secure=secure), SUMMER)
    assert opened.basis == "not_before"
    assert opened.instant == clock(SUMMER, "06:30")


def test_a_secure_run_opens_by_nine_and_open_ground_waits_for_the_sun() -> None:
    safe, ground = keep(*REYKJAVIK, secure=True), on(keep(*REYKJAVIK), WINTER)
    opened = opened_on(safe, WINTER)
    assert opened.basis == "not_after"
    assert opened.instant == clock(WINTER, "09:00")
    assert ground.let_out.basis == "sunrise"
    assert ground.let_out.instant == near(instant(ground.sunrise) + 30 * MINUTE)
    assert ground.let_out.instant > clock(WINTER, "11:00")


@pytest.mark.parametrize(("secure", "day"), [(False, WINTER), (False, SUMMER), (True, SUMMER)])
def test_where_the_sun_gives_nothing_seven_o_clock_opens(secure: bool, day: date) -> None:
    polar = keep(*TROMSO, OSLO, secure=secure)
    assert opened_on(polar, day).basis == "fallback"
    assert opened_on(polar, day).instant == clock(day, "07:00", OSLO)
    later = keep(*TROMSO, OSLO, secure=secure, letout=LetOutRule(no_sun=time(8, 15)))
    assert opened_on(later, day).instant == clock(day, "08:15", OSLO)


@pytest.mark.parametrize(
    ("secure", "rule", "day", "expected", "basis"),
    [
        (True, {"basis": "sunrise"}, WINTER, "08:33", "sunrise"),
        (True, {"basis": "sunrise", "after_minutes": 0.0}, WINTER, "08:03", "sunrise"),
        (False, {"basis": "civil dawn"}, WINTER, "07:22", "civil_dawn"),
        (False, {"after_minutes": 10.0}, WINTER, "08:13", "sunrise"),
        (True, {"not_before": None}, SUMMER, "02:54", "civil_dawn"),
        (True, {"not_before": time(5)}, SUMMER, "05:00", "not_before"),
        (False, {"not_before": time(8, 45)}, WINTER, "08:45", "not_before"),
        (True, {"not_after": time(7)}, WINTER, "07:00", "not_after"),
        (False, {"not_after": time(8, 20)}, WINTER, "08:20", "not_after"),
        (True, {"not_after": None, "after_minutes": 120.0}, WINTER, "09:22", "civil_dawn"),
    ],
)
def test_every_part_of_the_let_out_can_be_set(
    secure: bool, rule: dict[str, object], day: date, expected: str, basis: str
) -> None:
    garden = keep(secure=secure, letout=LetOutRule.model_validate(rule))
    opened = opened_on(garden, day)
    assert local(opened.instant, garden) == expected
    assert opened.basis == basis


def test_a_written_not_before_stands_over_the_nine_o_clock_nobody_wrote() -> None:
    late = keep(secure=True, letout=LetOutRule(not_before=time(10)))
    assert local(opened_on(late, WINTER).instant, late) == "10:00"


# Free-range time


def ranging_on(profile: Profile, day: date, records: Records = NO_RECORDS) -> FreeRange:
    spell = on(profile, day, records).free_range
    assert isinstance(spell, FreeRange), spell
    return spell


@pytest.mark.parametrize("day", [WINTER, EQUINOX, SUMMER])
def test_free_range_time_is_the_last_hour_of_sun_until_the_lock_up(day: date) -> None:
    garden = keep()
    spell, evening = ranging_on(garden, day), on(garden, day)
    sunset = instant(evening.sunset)
    assert spell.start == near(sunset - 60 * MINUTE)
    assert spell.call_in == near(sunset - 10 * MINUTE)
    assert spell.end == evening.lock_up.instant


@pytest.mark.parametrize("ranging", ["supervised", "all day"])
def test_after_a_predator_tried_every_time_of_the_evening_says_one_thing(
    ranging: Ranging,
) -> None:
    # Called in 30 min before sunset, shut by 10 min after it: common practice, no source.
    garden = keep(ranging=ranging)
    visit = Report(kind="predator", grade="tried", spell=Spell(first=SUMMER))
    records = Records(reports=(visit,))
    spell, evening = ranging_on(garden, SUMMER, records), on(garden, SUMMER, records)
    assert spell.call_in == near(instant(evening.sunset) - 30 * MINUTE)
    assert spell.end == near(instant(evening.sunset) + 10 * MINUTE)
    why = reasons.why_lock_up(garden, evening)
    assert "before sunset" not in why, "the hour to call them in is said once"
    nearby = Records(reports=(replace(visit, grade="nearby"),))
    assert ranging_on(garden, SUMMER, nearby) == ranging_on(garden, SUMMER)


def test_ranging_all_day_starts_at_the_let_out() -> None:
    free = keep(ranging="all day")
    spell, day = ranging_on(free, WINTER), on(free, WINTER)
    assert spell.start == day.let_out.instant
    assert spell.call_in == near(instant(day.sunset) - 10 * MINUTE)
    assert spell.end == day.lock_up.instant


def test_they_are_called_in_before_a_lock_up_that_comes_in_full_sun() -> None:
    spell = ranging_on(keep(lockup=LockUpRule(cap=time(15, 20))), WINTER)
    assert spell.end == clock(WINTER, "15:20")
    assert spell.call_in == clock(WINTER, "15:10")


def test_they_are_called_in_at_once_when_there_is_hardly_any_time() -> None:
    spell = ranging_on(keep(lockup=LockUpRule(cap=time(14, 58))), WINTER)
    assert spell.end == clock(WINTER, "14:58")
    assert spell.call_in == spell.start > clock(WINTER, "14:48")


def test_a_lock_up_before_the_last_hour_of_sun_leaves_no_free_range_time() -> None:
    assert on(keep(lockup=LockUpRule(cap=time(14))), WINTER).free_range == "too late"


def flock(**more: object) -> Flock:
    return Flock.model_validate({"name": "New", "id": "new", "coop": "walnut", "hens": 3, **more})


HATCHED = WINTER - timedelta(weeks=12)


@pytest.mark.parametrize("ranging", ["supervised", "all day"])
@pytest.mark.parametrize(
    ("newcomers", "records", "reason"),
    [
        (
            HENS,
            Records(reports=(Report(kind="order", spell=Spell(first=WINTER, last=WINTER)),)),
            "housing order",
        ),
        (
            HENS,
            Records(reports=(Report(kind="order", spell=Spell(first=date(2026, 11, 1))),)),
            "housing order",
        ),
        (HENS, Records(reports=(Report(kind="order", spell=Spell(first=WINTER + DAY)),)), None),
        (
            HENS,
            Records(reports=(Report(kind="order", spell=Spell(first=EQUINOX, last=WINTER - DAY)),)),
            None,
        ),
        (HENS, Records(reports=(Report(kind="predator", spell=Spell(first=WINTER)),)), "predator"),
        (
            HENS,
            Records(reports=(Report(kind="predator", spell=fortnight(WINTER - 13 * DAY)),)),
            "predator",
        ),
        (
            HENS,
            Records(
                reports=(
                    Report(kind="predator", spell=fortnight(WINTER - 14 * DAY)),
                    Report(kind="predator", spell=fortnight(WINTER + DAY)),
                )
            ),
            None,
        ),
        # Signs to be reported keep in whoever shares the ground, whichever house is ill.
        (HENS, ill("breathing", WINTER), "ill birds"),
        (HENS, ill("breathing", WINTER - 30 * DAY), "ill birds"),
        (HENS, ill("breathing", WINTER + DAY), None),
        (HENS, ill("limping", WINTER), None),
        (flock(hatched=HATCHED + DAY), NO_RECORDS, "too young"),
        (flock(hatched=HATCHED), NO_RECORDS, None),
        (flock(age="chick"), NO_RECORDS, "too young"),
        (flock(age="pullet"), NO_RECORDS, None),
        (flock(arrived=WINTER), NO_RECORDS, "newly moved"),
        (flock(arrived=WINTER - 13 * DAY), NO_RECORDS, "newly moved"),
        (flock(arrived=WINTER - 14 * DAY), NO_RECORDS, None),
    ],
)
def test_each_reason_to_stay_in_holds_for_its_days_only(
    ranging: Ranging, newcomers: Flock, records: Records, reason: str | None
) -> None:
    garden = keep(ranging=ranging, flocks=(HENS, newcomers))
    found = on(garden, WINTER, records).free_range
    assert isinstance(found, FreeRange) if reason is None else found == reason


def test_birds_of_another_house_keep_nobody_in() -> None:
    garden = keep().model_copy(
        update={
            "coop": (
                Coop(name="Walnut", id="walnut"),
                Coop(name="Nursery", id="nursery"),
            ),
            "flock": (
                HENS,
                Flock(name="Chicks", id="chicks", coop="nursery", young=5, age="chick"),
            ),
        }
    )
    sky = sky_over(garden)
    walnut, nursery = (coop_day(garden, sky, c, WINTER, NO_RECORDS) for c in garden.coop)
    assert isinstance(walnut.free_range, FreeRange)
    assert nursery.free_range == "on heat"


def test_a_keeper_who_never_lets_them_range_has_no_free_range_time() -> None:
    assert on(keep(ranging="run only"), WINTER).free_range == "run only"


@pytest.mark.parametrize("day", [WINTER, SUMMER])
def test_without_a_sunset_there_is_no_hour_before_it(day: date) -> None:
    assert on(keep(*TROMSO, OSLO), day).free_range == "no sunset"


def test_nobody_ranges_in_the_polar_night() -> None:
    assert on(keep(*TROMSO, OSLO, ranging="all day"), WINTER).free_range == "no sunset"


# Every place, every date, every rule


@st.composite
def sites(draw: st.DrawFn) -> tuple[float, float, tzinfo]:
    latitude_deg = draw(st.one_of(st.floats(-90, 90), st.sampled_from((-90.0, 90.0))))
    longitude_deg = draw(st.floats(-180, 180))
    quarters = round(longitude_deg * 4 / 15) + draw(st.integers(-15, 15))
    return latitude_deg, longitude_deg, timezone(timedelta(minutes=15 * quarters))


wall_times = st.builds(time, st.integers(0, 23), st.integers(0, 59))
maybe_wall_times = st.none() | wall_times
lock_up_rules = st.builds(
    LockUpRule,
    basis=st.sampled_from(("light", "angle", "sunset", "visible sunset", "civil dusk")),
    angle_deg=st.floats(-18, 10),
    after_sunset_minutes=st.floats(-120, 240),
    cap=maybe_wall_times,
    not_after=maybe_wall_times,
    not_before=maybe_wall_times,
    no_sun=wall_times,
)
let_out_rules = st.builds(
    LetOutRule,
    basis=st.sampled_from((None, "civil dawn", "sunrise")),
    after_minutes=st.none() | st.floats(-120, 240),
    not_before=maybe_wall_times,
    not_after=maybe_wall_times,
    no_sun=wall_times,
)
days = st.dates(date(2020, 1, 1), date(2050, 12, 31))
any_keep = st.builds(
    lambda site, lockup, letout, secure, hill: keep(
        *site, lockup=lockup, letout=letout, secure=secure, west_horizon_deg=hill
    ),
    sites(),
    lock_up_rules,
    let_out_rules,
    st.booleans(),
    st.floats(0, 45),
)
relaxed = settings(deadline=None)


def in_order(profile: Profile, first: date, count: int) -> None:
    """Let-out and lock-up take turns, whole aware seconds of UTC, none twice, none missing."""
    series = []
    for n in range(count):
        day = on(profile, first + n * DAY)
        assert day.lock_up.instant <= day.lock_up.latest
        series += [day.let_out.instant, day.lock_up.instant]
        for moment in (*series[-2:], day.lock_up.latest):
            assert moment.tzinfo is UTC
            assert moment.microsecond == 0
    assert all(before < after for before, after in pairwise(series))


@relaxed
@given(any_keep, days)
def test_let_out_and_lock_up_take_turns_everywhere_under_every_rule(
    profile: Profile, day: date
) -> None:
    in_order(profile, day, 3)


@relaxed
@given(any_keep, days)
def test_let_out_lies_in_its_morning_and_lock_up_in_its_evening(
    profile: Profile, day: date
) -> None:
    sky, found = sky_over(profile), on(profile, day)
    assert found.let_out.instant in sky.morning(day)
    assert found.lock_up.instant in sky.evening(day)


def test_a_lock_up_held_until_solar_midnight_still_comes_before_the_next_let_out() -> None:
    # Sunset is at 23:37 and sunrise less two hours before the solar midnight, 0.3 s after 00:10.
    midnight = sky_over(keep(65.5)).evening(SUMMER).end
    off_s = (midnight - clock(SUMMER + DAY, "00:10")).total_seconds() - 0.3
    bright = keep(
        65.5,
        off_s / 240,
        lockup=LockUpRule(basis="sunset", cap=None, not_before=time(0, 10)),
        letout=LetOutRule(after_minutes=-120, not_before=None, basis="sunrise"),
    )
    end = sky_over(bright).evening(SUMMER).end
    assert clock(SUMMER + DAY, "00:10") < end < clock(SUMMER + DAY, "00:10") + SECOND / 2
    in_order(bright, SUMMER, 2)


@relaxed
@given(any_keep, days)
def test_latest_is_dusk_or_half_an_hour_or_twenty_minutes(profile: Profile, day: date) -> None:
    evening = on(profile, day)
    shut, latest = evening.lock_up.instant, evening.lock_up.latest
    assert latest <= shut + 30 * MINUTE + SECOND
    if evening.lock_up.basis == "not_before":
        return
    dusk = evening.dusk.instant if isinstance(evening.dusk, At) else None
    if dusk and dusk > shut + SECOND:
        assert abs(latest - min(dusk, shut + 30 * MINUTE)) <= SECOND
    elif not dusk or dusk < shut - SECOND:
        assert abs(latest - shut - 20 * MINUTE) <= SECOND


@relaxed
@given(any_keep, days)
def test_free_range_time_lies_between_let_out_and_lock_up(profile: Profile, day: date) -> None:
    found = on(profile, day)
    if isinstance(spell := found.free_range, FreeRange):
        assert found.let_out.instant <= spell.start <= spell.call_in <= spell.end
        assert spell.end == found.lock_up.instant
        assert spell.start < spell.end


# Zones that change their clocks in the evening or around midnight, by tzdata.
NIGHTS = (
    ("Africa/Cairo", 30.04, 31.24, date(2026, 4, 23)),
    ("Africa/Cairo", 30.04, 31.24, date(2026, 10, 29)),
    ("America/Havana", 23.11, -82.37, date(2026, 3, 7)),
    ("America/Havana", 23.11, -82.37, date(2026, 10, 31)),
    ("America/Nuuk", 64.18, -51.72, date(2026, 3, 28)),
    ("America/Nuuk", 64.18, -51.72, date(2026, 10, 24)),
    ("America/Santiago", -33.45, -70.67, date(2026, 4, 4)),
    ("America/Santiago", -33.45, -70.67, date(2026, 9, 5)),
    ("America/Scoresbysund", 70.48, -21.97, date(2026, 3, 28)),
    ("America/Scoresbysund", 70.48, -21.97, date(2026, 10, 24)),
    ("Asia/Beirut", 33.89, 35.50, date(2026, 3, 28)),
    ("Asia/Beirut", 33.89, 35.50, date(2026, 10, 24)),
    ("Atlantic/Azores", 37.74, -25.67, date(2026, 3, 28)),
    ("Atlantic/Azores", 37.74, -25.67, date(2026, 10, 24)),
    ("Pacific/Easter", -27.15, -109.43, date(2026, 4, 4)),
    ("Pacific/Easter", -27.15, -109.43, date(2026, 9, 5)),
)


@relaxed
@given(st.sampled_from(NIGHTS), lock_up_rules, let_out_rules, st.booleans())
def test_a_night_in_which_the_clock_changes_has_one_lock_up_under_every_rule(
    night: tuple[str, float, float, date],
    lockup: LockUpRule,
    letout: LetOutRule,
    secure: bool,
) -> None:
    zone, latitude_deg, longitude_deg, day = night
    place = (latitude_deg, longitude_deg, ZoneInfo(zone))
    in_order(keep(*place, lockup=lockup, letout=letout, secure=secure), day - DAY, 3)


@pytest.mark.parametrize(
    ("day", "cap", "expected"),
    [
        (date(2026, 4, 4), time(21, 30), datetime(2026, 4, 5, 2, 30, tzinfo=UTC)),  # first pass
        (date(2026, 9, 5), time(22, 30), datetime(2026, 9, 6, 4, tzinfo=UTC)),  # skipped
    ],
)
def test_a_cap_in_the_hour_that_comes_twice_or_never(
    day: date, cap: time, expected: datetime
) -> None:
    # Easter Island: 22:00 becomes 21:00 on 4 April 2026, and 23:00 on 5 September (tzdata).
    late = LockUpRule(basis="sunset", after_sunset_minutes=240, cap=cap)
    island = keep(-27.15, -109.43, ZoneInfo("Pacific/Easter"), lockup=late)
    assert shut_on(island, day).instant == expected
    assert shut_on(island, day).basis == "cap"


@pytest.mark.parametrize("basis", ["light", "angle", "sunset", "visible sunset", "civil dusk"])
@pytest.mark.parametrize("latitude_deg", [51.5, 68.0, -45.0])
def test_the_latest_comes_after_the_lock_up_on_every_basis_all_year(
    basis: str, latitude_deg: float
) -> None:
    garden = keep(latitude_deg, lockup=LockUpRule.model_validate({"basis": basis}))
    for offset in range(0, 365, 3):
        shut = shut_on(garden, date(2026, 1, 1) + offset * DAY)
        assert shut.instant < shut.latest <= shut.instant + 30 * MINUTE


def test_a_chosen_dusk_holds_on_days_without_sunrise_too() -> None:
    polar = keep(68.0, lockup=LockUpRule(basis="civil dusk"))
    evening = on(polar, WINTER)
    assert evening.sunset == Never("below")
    assert evening.lock_up.basis == "civil_dusk"


# Bounds that meet


def after_a_visit(lockup: LockUpRule) -> CoopDay:
    visit = Report(kind="predator", grade="tried", spell=Spell(first=WINTER))
    return on(keep(lockup=lockup), WINTER, Records(reports=(visit,)))


@pytest.mark.parametrize(
    "written",
    [
        {"not_before": "16:15"},
        {"not_before": "18:00"},
        # Sunset is at 15:53: the cap is earlier, and its latest is not.
        {"cap": "15:45", "not_before": "16:10"},
        {"cap": "15:45", "not_before": "18:00"},
    ],
)
def test_after_a_predator_no_wish_holds_the_lock_up_back(written: dict[str, str]) -> None:
    evening = after_a_visit(LockUpRule.model_validate(written))
    assert evening.lock_up.basis == "predator"
    assert evening.lock_up.instant == near(instant(evening.sunset) + 10 * MINUTE)
    assert evening.lock_up.instant <= evening.lock_up.latest


def test_after_a_predator_an_earlier_lock_up_stays() -> None:
    evening = after_a_visit(LockUpRule(cap=time(15, 45)))
    assert (evening.lock_up.instant, evening.lock_up.basis) == (clock(WINTER, "15:45"), "cap")
    same = after_a_visit(LockUpRule(basis="sunset", after_sunset_minutes=10))
    assert same.lock_up.basis == "sunset_offset"


@pytest.mark.parametrize(
    ("written", "basis"),
    [
        ({"cap": "15:00", "not_after": "15:00"}, "cap"),
        ({"cap": "15:20", "not_before": "15:20"}, "cap"),
        ({"not_after": "15:20", "not_before": "15:20"}, "not_after"),
    ],
)
def test_of_two_bounds_at_one_time_the_first_is_the_reason(
    written: dict[str, str], basis: str
) -> None:
    assert shut_on(keep(lockup=LockUpRule.model_validate(written)), WINTER).basis == basis


@pytest.mark.parametrize(
    ("place", "zone", "letout", "day", "basis"),
    [
        ((51.5, 0.0), UTC, {"not_after": "08:00", "not_before": "08:00"}, WINTER, "not_after"),
        (TROMSO, OSLO, {"no_sun": "07:00", "not_after": "07:00"}, WINTER, "fallback"),
    ],
)
def test_of_two_let_out_bounds_at_one_time_the_first_is_the_reason(
    place: tuple[float, float], zone: tzinfo, letout: dict[str, str], day: date, basis: str
) -> None:
    opened = opened_on(keep(*place, zone, letout=LetOutRule.model_validate(letout)), day)
    assert opened.basis == basis


def test_a_lock_up_keeps_a_minute_from_either_end_of_its_evening() -> None:
    # By the clock at a time that is before the evening; and held until its last minute.
    early = keep(*TROMSO, OSLO, lockup=LockUpRule(no_sun=time(2)))
    span = sky_over(early).evening(WINTER)
    shut = shut_on(early, WINTER).instant
    assert span.start + MINUTE <= shut < span.start + MINUTE + SECOND
    bright = keep(65.5, lockup=LockUpRule(basis="sunset", cap=None, not_before=time(0, 1)))
    span = sky_over(bright).evening(SUMMER)
    assert span.start < clock(SUMMER + DAY, "00:01") < span.end < clock(SUMMER + DAY, "00:02:30")
    late = shut_on(bright, SUMMER)
    assert span.end - MINUTE - SECOND < late.instant <= span.end - MINUTE


def in_two_houses(
    *, apart_minutes: float, hens_arrived: date | None = None
) -> tuple[LetOut, LetOut]:
    """The let-outs of a house at half an hour after sunrise and of newcomers, so much later."""
    newcomers = Flock(
        name="New", id="new", coop="pen", hens=4, raised_by="bought", arrived=WINTER - 7 * DAY
    )
    walnut = keep()
    pen = Coop(name="Pen", id="pen", letout=LetOutRule(after_minutes=30 + apart_minutes))
    girls = HENS.model_copy(update={"arrived": hens_arrived})
    both = walnut.model_copy(update={"coop": (*walnut.coop, pen), "flock": (girls, newcomers)})
    sky = sky_over(both)
    first, second = (coop_day(both, sky, coop, WINTER, NO_RECORDS).let_out for coop in both.coop)
    return first, second


@pytest.mark.parametrize(
    ("apart_minutes", "later_minutes", "basis"),
    [(0, 20, "quarantine"), (10, 20, "quarantine"), (20, 20, "sunrise"), (40, 40, "sunrise")],
)
def test_newcomers_are_let_out_twenty_minutes_after_the_others_or_at_their_own_later_time(
    apart_minutes: float, later_minutes: float, basis: str
) -> None:
    others, new = in_two_houses(apart_minutes=apart_minutes)
    assert new.instant - others.instant == later_minutes * MINUTE
    assert (others.basis, new.basis) == ("sunrise", basis)


def test_newcomers_wait_for_no_house_that_is_still_empty() -> None:
    _, new = in_two_houses(apart_minutes=-10, hens_arrived=WINTER + DAY)
    assert new.basis == "sunrise"


def test_a_house_in_which_some_are_new_is_let_out_by_its_own_rule() -> None:
    newcomers = Flock(
        name="New", id="new", coop="walnut", hens=4, raised_by="bought", arrived=WINTER - 7 * DAY
    )
    shared = keep(flocks=(HENS, newcomers))
    other = Coop(name="Pen", id="pen")
    there = HENS.model_copy(update={"id": "pen-girls", "name": "Pen girls", "coop": "pen"})
    both = shared.model_copy(
        update={"coop": (*shared.coop, other), "flock": (*shared.flock, there)}
    )
    assert opened_on(both, WINTER).basis == "sunrise"


def test_young_of_unknown_age_keep_in_no_grown_hens_beside_them() -> None:
    young = Flock(name="Young", id="young", coop="walnut", young=3)
    mixed = Flock(name="Mixed", id="mixed", coop="walnut", hens=3, young=3)
    assert on(keep(flocks=(young,)), WINTER).kept_in == "age unknown"
    assert on(keep(flocks=(mixed,)), WINTER).kept_in is None
    assert on(keep(flocks=(HENS, young)), WINTER).kept_in is None
