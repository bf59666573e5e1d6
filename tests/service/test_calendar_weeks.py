"""Twenty weeks of publishing with what happens to a house in them, looked at in the bytes."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.feeds.called_off import called_off
from scheduler.feeds.door_events import lockup_events
from scheduler.feeds.feed_names import house_feed
from scheduler.journal.store import Journal, open_journal
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import Feed
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.household.open_profile import Household
from tests.unhurried import unhurried

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)  # a Wednesday
DAY, WEEK, HOUR = timedelta(days=1), timedelta(weeks=1), timedelta(hours=1)
ORDER = Records(reports=(Report(kind="order", spell=Spell(first=date(2026, 12, 1))),))
# One job a round and none by the season: the evenings are what is looked at.
FEW = 2


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    """A real journal in a file of its own."""
    opened = open_journal(tmp_path / "journal.sqlite3")
    yield opened
    opened.close()


@pytest.fixture
def few(catalogue: Catalogue) -> Catalogue:
    """Few jobs: a plan of a year of days is made each time."""
    return catalogue[:FEW]


def housed(small: Profile, few: Catalogue, *ids: str, name: str = "", hens: int = 12) -> Household:
    """The small household with these houses, all under the site's own rule."""
    coops = tuple(
        small.coop[0].model_copy(update={"id": one, "name": name or one.capitalize()})
        for one in ids
    )
    flocks = tuple(
        small.flock[0].model_copy(update={"id": f"f-{one}", "coop": one, "hens": hens})
        for one in ids
    )
    profile = small.model_copy(update={"coop": coops, "flock": flocks})
    return Household(profile=profile, catalogue=few)


def shown(
    journal: Journal, household: Household, now: datetime, records: Records = NO_RECORDS
) -> dict[str, str]:
    """Each event of the evenings as it stands in the bytes, by UID, unfolded."""
    feeds = {feed.name: feed for feed in publish(journal, household, FeedRequest(), now, records)}
    return parsed(feeds["lockup"])


def parsed(feed: Feed) -> dict[str, str]:
    """Each event of a calendar as it stands in the bytes, by UID, unfolded."""
    text = feed.content.decode().replace("\r\n ", "")
    found = re.findall(r"BEGIN:VEVENT\r\n.*?END:VEVENT\r\n", text, re.DOTALL)
    by_uid = {line(block, "UID"): block for block in found}
    assert len(by_uid) == len(found)
    return by_uid


def line(block: str, name: str) -> str:
    """The value of a property."""
    found = re.search(rf"^{name}[^:]*:(.*?)\r$", block, re.MULTILINE)
    assert found, name
    return found[1]


def off(events: dict[str, str]) -> set[str]:
    """The UIDs of what is called off."""
    return {uid for uid, block in events.items() if "STATUS:CANCELLED" in block}


def shut_earlier(household: Household, coop_id: str) -> Household:
    """The same, with that house shut a quarter of an hour after sunset."""
    profile = household.profile
    rule = profile.lockup.model_copy(update={"basis": "sunset", "after_sunset_minutes": 15.0})
    coops = tuple(
        coop.model_copy(update={"lockup": rule}) if coop.id == coop_id else coop
        for coop in profile.coop
    )
    return replace(household, profile=profile.model_copy(update={"coop": coops}))


def test_a_let_out_speaks_for_a_house_only_where_it_holds_for_it(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    two = housed(small, few, "hazel", "walnut")
    hazel, walnut = two.profile.coop
    profile = two.profile.model_copy(
        update={"coop": (hazel.model_copy(update={"ranging": "run only"}), walnut)}
    )
    events = shown(journal, replace(two, profile=profile), NOW)
    let_outs = [b for u, b in events.items() if u.startswith("letout-") and "2026-12-21" in u]
    texts = {
        line(block, "SUMMARY").split(" · ")[1]: line(block, "DESCRIPTION") for block in let_outs
    }
    assert texts.keys() == {"Hazel", "Walnut"}
    assert "Let them into the run only." in texts["Hazel"]
    assert "run only" not in texts["Walnut"]
    # Into the same, they share one.
    alike = shown(journal, two, NOW + HOUR)
    live = [u for u in alike.keys() - off(alike) if "2026-12-21" in u and u.startswith("letout-")]
    assert len(live) == 1
    assert line(alike[live[0]], "SUMMARY").startswith("Let out · ")
    assert "Hazel" not in line(alike[live[0]], "SUMMARY")


def test_a_shared_lock_up_says_of_each_house_what_holds_for_its_birds(
    small: Profile, few: Catalogue
) -> None:
    two, day = housed(small, few, "hazel", "walnut").profile, NOW.date()
    hens, others = two.flock
    new = others.model_copy(update={"name": "Pullets", "arrived": day, "raised_by": "hen"})
    chicks = others.model_copy(update={"hatched": day, "raised_by": "brooder"})
    usual = "The sun is 4° below the horizon: birds should be on the perch."

    def told(flock: Flock) -> str:
        profile = two.model_copy(update={"flock": (hens, flock)})
        (planned,) = plan(profile, NO_RECORDS, day, day, ()).days
        (shut,) = (one for one in lockup_events(profile, planned) if one.kind == "lockup")
        assert shut.description.startswith(
            "Count them: 12 hens in Hazel; 12 hens in Walnut. Shut and latch every door. "
        )
        return shut.description.partition("\n")[2]

    assert told(others) == usual
    hazel, walnut = told(new).split("\n")
    assert hazel == f"Hazel: {usual}"
    assert walnut.startswith(f"Walnut: {usual} New to the house: Pullets. Call them in with feed")
    assert told(chicks) == f"Hazel: {usual}\nWalnut: The sun is 4° below the horizon."


def test_let_outs_that_an_order_calls_off_are_cancelled_and_do_not_vanish(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    house = housed(small, few, "walnut")
    before = shown(journal, house, NOW)
    after = shown(journal, house, NOW + HOUR, ORDER)
    kept_in = {uid for uid in before if uid[:8] == "letout-w" and uid[14:24] >= "2026-12-02"}
    assert kept_in
    assert kept_in <= off(after)
    assert line(after["letout-walnut-2026-12-21@orchard"], "SUMMARY") == (
        "Called off: let out (housing order)"
    )


def test_called_off_is_said_in_title_and_text(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    house = housed(small, few, "walnut")
    shown(journal, house, NOW)
    events = shown(journal, house, NOW + HOUR, ORDER)
    block = events["range-walnut-2026-12-21@orchard"]
    assert line(block, "SUMMARY") == "Called off: free range (housing order)"
    assert line(block, "DESCRIPTION") == (
        "Called off (housing order): keep them in the covered run\\, or in the house if the run "
        "has no roof."
    )
    # Birds that are not let out are fed, watered and looked at all the same.
    assert line(events["letout-walnut-2026-12-21@orchard"], "DESCRIPTION") == (
        "Called off (housing order): keep them in the house. "
        "Feed and water them there\\, and look at every bird."
    )
    for uid in off(events):
        assert line(events[uid], "SUMMARY").startswith("Called off: ")
    assert not [block for block in off(events) if block.startswith("lockup-")]


def test_a_let_out_that_chicks_on_heat_call_off_says_to_look_after_them(
    small: Profile, few: Catalogue
) -> None:
    day = NOW.date()
    [usual] = plan(small, NO_RECORDS, day, day, few).days
    chicks = small.flock[0].model_copy(update={"hatched": day, "raised_by": "brooder"})
    brooder = small.model_copy(update={"flock": (chicks,)})
    [warm] = plan(brooder, NO_RECORDS, day, day, few).days
    [let_out] = [one for one in lockup_events(small, usual) if one.kind == "letout"]
    off_now = called_off(let_out, brooder, warm)
    assert off_now.title == "Called off: let out (the chicks still need a heat source)"
    assert off_now.description.endswith("Feed and water them there, and look at every bird.")
    # Nobody lives there any more: then nothing is to be done.
    emptied = replace(warm, empty=frozenset({"walnut"}))
    assert called_off(let_out, brooder, emptied).description.endswith("there is nothing to do.")


def test_a_house_that_comes_first_cancels_nothing(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    before = shown(journal, housed(small, few, "hazel", "walnut"), NOW)
    after = shown(journal, housed(small, few, "ash", "hazel", "walnut"), NOW + HOUR)
    assert after.keys() == before.keys()
    assert off(after) == set()


def test_a_renamed_house_without_an_id_keeps_its_events(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    before = shown(journal, housed(small, few, "hazel", "walnut"), NOW)
    after = shown(journal, housed(small, few, "hazel", "willow"), NOW + HOUR)
    alone = shown(journal, housed(small, few, "willow"), NOW + 2 * HOUR)
    other = shown(journal, housed(small, few, "rowan"), NOW + 3 * HOUR)
    for events in (after, alone, other):
        assert events.keys() == before.keys()
        assert off(events) == set()


@unhurried
def test_a_house_that_goes_is_called_off_by_name_only_where_nothing_takes_its_place(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    two = housed(small, few, "hazel", "walnut")
    apart = shut_earlier(two, "hazel")
    shown(journal, apart, NOW)
    # Its rule is as the other's again: one event is enough, and nothing is called off.
    together = shown(journal, two, NOW + HOUR)
    assert off(together) == set()
    # Apart again, and then it is gone.
    shown(journal, apart, NOW + 2 * HOUR)
    gone = shown(journal, housed(small, few, "walnut"), NOW + 3 * HOUR)
    assert off(gone)
    for uid in off(gone):
        assert line(gone[uid], "DESCRIPTION") == "Called off: there is nothing to do."
        assert line(gone[uid], "SUMMARY") in {"Called off: lock up · Hazel"} | {
            "Called off: free range · Hazel",
            "Called off: let out · Hazel",
        }
    live = gone.keys() - off(gone)
    locks = {line(gone[uid], "DTSTART")[:8] for uid in live if uid.startswith("lockup-")}
    assert {f"{NOW + n * DAY:%Y%m%d}" for n in range(45)} <= locks


def test_what_is_off_of_two_houses_at_one_time_is_told_of_each(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    # Pullets that are called in early range in the hens' hours; then they move in with the hens.
    two = housed(small, few, "hazel", "walnut")
    hens, pullets = two.profile.flock
    came = pullets.model_copy(update={"arrived": NOW.date() - 24 * DAY})
    apart = replace(two, profile=two.profile.model_copy(update={"flock": (hens, came)}))
    ranges = {u for u in shown(journal, apart, NOW) if u.startswith("range-")}
    assert any("walnut" in uid for uid in ranges)
    assert any("hazel" in uid for uid in ranges)
    one = housed(small, few, "hazel")
    moved = came.model_copy(update={"coop": "hazel", "joined": NOW.date()})
    together = one.profile.model_copy(update={"flock": (hens, moved)})
    events = shown(journal, replace(one, profile=together), NOW + HOUR)
    day = f"{NOW.date() + DAY}"
    titles = {
        line(events[uid], "SUMMARY")
        for uid in off(events)
        if uid.startswith("range-") and day in uid
    }
    assert titles == {
        "Called off: free range (they have just moved in)",
        "Called off: free range · Walnut",
    }


def test_a_rename_with_another_rule_leaves_no_twin_and_an_order_names_the_houses_there_are(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    two = housed(small, few, "hazel", "walnut")
    apart = shut_earlier(two, "hazel")
    shown(journal, apart, NOW)
    # One time for both again, and the second has another name: nothing stands beside it.
    renamed = housed(small, few, "hazel", "willow")
    events = shown(journal, renamed, NOW + HOUR)
    assert off(events) == set()
    starts = [line(block, "DTSTART") for uid, block in events.items()]
    assert len(set(starts)) == len(starts)
    ordered = shown(journal, renamed, NOW + 2 * HOUR, ORDER)
    assert line(ordered["letout-hazel-2026-12-21@orchard"], "SUMMARY") == (
        "Called off: let out · Hazel + Willow (housing order)"
    )


@unhurried
def test_what_was_called_off_on_its_day_stays_past_and_what_was_not_shown_does_not_come_back(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    two = housed(small, few, "hazel", "walnut")
    shown(journal, shut_earlier(two, "hazel"), NOW)
    assert off(shown(journal, two, NOW + HOUR)) == set()
    # Covered while it was to come, it is no call-off of a day that has passed.
    assert off(shown(journal, two, NOW + 3 * DAY)) == set()
    ordered = off(shown(journal, two, NOW + 7 * DAY, ORDER))
    first, last = "2026-12-03", "2026-12-25"  # a day inside the fortnight, and one outside
    mine = {
        f"range-{house}-{day}@orchard" for house in ("hazel", "walnut") for day in (first, last)
    }
    assert len(ordered & mine) == 2
    for later in (31 * DAY, 33 * DAY):  # the fortnight is over, and the days are past
        past = off(shown(journal, two, NOW + later, ORDER))
        assert {uid[-18:-8] for uid in past & mine} == {first}


@unhurried
def test_publishing_twice_changes_nothing_after_anything(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    two, at = housed(small, few, "hazel", "walnut"), NOW
    for household, records in (
        (two, NO_RECORDS),
        (housed(small, few, "walnut"), NO_RECORDS),
        (housed(small, few, "walnut", "ash", hens=9), ORDER),
    ):
        first = publish(journal, household, FeedRequest(), at, records)
        for later in (HOUR, 2 * HOUR):
            assert publish(journal, household, FeedRequest(), at + later, records) == first
        at += 5 * HOUR


def test_another_length_moves_no_stamp(journal: Journal, small: Profile, few: Catalogue) -> None:
    house = housed(small, few, "walnut")
    before = shown(journal, house, NOW)
    publish(journal, house, FeedRequest(days=5), NOW + HOUR)
    publish(journal, house, FeedRequest(first=date(2027, 3, 1), days=20), NOW + HOUR)
    assert shown(journal, house, NOW + 2 * HOUR) == before


def test_numbers_never_fall_after_a_clock_that_ran_ahead(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    ahead = shown(journal, housed(small, few, "walnut"), NOW + 9 * WEEK)
    shown(journal, housed(small, few, "walnut"), NOW)
    again = shown(journal, housed(small, few, "walnut", hens=11), NOW + 9 * WEEK + HOUR)
    for uid in ahead.keys() & again.keys():
        assert int(line(again[uid], "SEQUENCE")) >= int(line(ahead[uid], "SEQUENCE"))


def in_week(week: int, small: Profile, few: Catalogue) -> tuple[Household, Records]:
    """A hen fewer, a new name without an id, an order that ends early, a house gone."""
    hens = 12 if week < 3 else 11
    ids = ("hazel", "walnut") if week < 6 else ("hazel", "willow")
    household = housed(small, few, *ids[-1:] if week >= 14 else ids, hens=hens)
    if not 8 <= week < 11:
        return household, NO_RECORDS
    first = NOW.date() + 8 * WEEK
    spell = Spell(first=first, last=NOW.date() + (week + 3) * WEEK)
    return household, Records(reports=(Report(kind="order", spell=spell),))


@unhurried
def test_twenty_weeks_with_edits_a_rename_a_house_gone_and_an_order(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    last: dict[str, str] = {}
    numbers: dict[str, int] = {}
    for week in range(20):
        now = NOW + week * WEEK
        household, records = in_week(week, small, few)
        feeds = {one.name: one for one in publish(journal, household, FeedRequest(), now, records)}
        events = parsed(feeds["lockup"])
        today = f"{now:%Y%m%d}"
        for uid, block in events.items():
            number = int(line(block, "SEQUENCE"))
            assert number >= numbers.get(uid, 0), uid
            assert number > numbers.get(uid, -1) or block == last.get(uid, block), uid
            numbers[uid] = number
        # The last three weeks are as they were published.
        for uid, block in last.items():
            if f"{now - 3 * WEEK:%Y%m%d}" <= line(block, "DTEND")[:8] < today:
                assert events.get(uid) == block or uid in off(last), uid
        houses = [house_feed(one.id) for one in household.profile.coop]
        for name in ("lockup", "doors", "all", *houses):
            if name in feeds:  # a house that is alone has none of its own
                neither_twins_nor_holes(parsed(feeds[name]), now, weeks=4)
        neither_twins_nor_holes(events, now, weeks=8)
        last = events


def neither_twins_nor_holes(events: dict[str, str], now: datetime, *, weeks: int) -> None:
    """No two events of one kind at one time, and a lock-up on each evening of those weeks."""
    live = {u: b for u, b in events.items() if u not in off(events) and "DTSTART:" in b}
    starts = [(uid.partition("-")[0], line(block, "DTSTART")) for uid, block in live.items()]
    assert len(set(starts)) == len(starts), "twins"
    locks = {line(block, "DTSTART")[:8] for uid, block in live.items() if "lockup-" in uid}
    assert {f"{now + n * DAY:%Y%m%d}" for n in range(7 * weeks)} <= locks


@unhurried
def test_an_upgrade_from_0_1_0_keeps_every_uid_and_tells_each_event_anew_once(
    journal: Journal, small: Profile, few: Catalogue
) -> None:
    # As 0.1.0 called two houses whose names have no Latin letter, under two rules.
    two = shut_earlier(housed(small, few, "coop-1", "coop-2", name="鸡舍"), "coop-1")
    before, old = shown(journal, two, NOW), two.profile
    with journal.writing() as writing:
        # Version 0.1.0 kept neither kind nor houses.
        writing.connection.exec_driver_sql("UPDATE revision SET kind = NULL, houses = NULL")
    ids = {"coop-1": "coop-1f2e3d4c", "coop-2": "coop-aabbccdd"}
    coops = tuple(coop.model_copy(update={"id": ids[coop.id]}) for coop in old.coop)
    flocks = tuple(flock.model_copy(update={"coop": ids[flock.coop]}) for flock in old.flock)
    renamed = replace(two, profile=old.model_copy(update={"coop": coops, "flock": flocks}))
    after = shown(journal, renamed, NOW + 9 * HOUR)
    assert after.keys() == before.keys(), "a twin, or an event lost"
    assert off(after) == set()
    over = {uid for uid, block in before.items() if line(block, "DTEND") <= "20261125T183000Z"}
    for uid in before:
        told_anew = int(line(after[uid], "SEQUENCE")) > int(line(before[uid], "SEQUENCE"))
        assert told_anew is (uid not in over), uid
        for name in ("DTSTART", "DTEND", "SUMMARY"):
            assert line(after[uid], name) == line(before[uid], name)
    assert shown(journal, renamed, NOW + 10 * HOUR) == after
