"""The first run on the page: the key, the steps, what is wrong beside a field, how it ends."""

import re
import stat
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from html import unescape
from pathlib import Path
from secrets import token_urlsafe

import pytest

from scheduler.machine.secrets import secret
from scheduler.service.first_run.first_key import KEY_FILE, hash_of, is_good
from scheduler.service.first_run.so_far import ANSWERS_FILE, write_so_far
from tests.unhurried import unhurried
from tests.web.first_house import STEPS, FirstHouse, first_house

GOES_ON, WRONG = 303, 422


@pytest.fixture
def house(tmp_path: Path) -> Iterator[FirstHouse]:
    with first_house(tmp_path) as begun:
        yield begun


def wrong(page: str) -> list[str]:
    """What stands beside the fields."""
    return [unescape(one) for one in re.findall(r'class="wrong"[^>]*>(.*?)</p>', page)]


# -- the key --------------------------------------------------------------------------------------


def test_a_key_shows_a_button_and_its_press_uses_it_up(house: FirstHouse) -> None:
    path = house.key_path()
    for _ in range(3):  # a preview, a reload
        assert "Begin on this device" in house.get(path).text
    begun = house.post(path)
    assert (begun.status, begun.headers["location"]) == (GOES_ON, "/begin/place")
    cookie = begun.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert house.post(path).status == house.get(path).status == 404
    assert not (house.data / KEY_FILE).exists()


def test_a_key_and_a_cookie_are_kept_as_hashes_in_private_files(house: FirstHouse) -> None:
    path = house.key_path()
    key = path.rpartition("/")[2]
    assert (house.data / KEY_FILE).read_text() == hash_of(key)
    house.post(path)
    kept = (house.data / ANSWERS_FILE).read_text()
    assert house.cookies["duskfold-first-run"] not in kept
    assert stat.S_IMODE((house.data / ANSWERS_FILE).stat().st_mode) == 0o600


def test_a_new_key_ends_the_one_before(house: FirstHouse) -> None:
    old, new = house.key_path(), house.key_path()
    assert house.get(old).status == 404
    assert house.get(new).status == 200


def test_ten_thousand_guesses_find_nothing_and_are_soon_told_to_wait(house: FirstHouse) -> None:
    path = house.key_path()
    told = [house.post(f"/begin/with/{token_urlsafe(18)}").status for _ in range(60)]
    assert told[:20] == [404] * 20
    assert set(told[20:]) == {429}
    assert not any(is_good(house.data, token_urlsafe(18)) for _ in range(10_000))
    assert house.get(path).status == 200  # whoever has the right one is not shut out by it
    assert house.so_far.cookie_hash == ""


def test_without_the_key_nothing_is_shown_or_taken(house: FirstHouse) -> None:
    house.key_path()
    for path in ("/", "/begin", "/begin/place", "/begin/look-over"):
        shut = house.get(path)
        assert shut.status == 403
        assert "waiting to be set up" in shut.text
    assert house.post("/begin/place", STEPS["place"]).status == 403
    assert house.post("/begin/keep").status == 403
    assert house.so_far.steps == {}


@unhurried
def test_whoever_uses_a_newer_key_goes_on_and_the_other_device_does_not(house: FirstHouse) -> None:
    house.begin()
    house.answer(until="house-1")
    first = dict(house.cookies)
    house.cookies.clear()
    house.begin()
    assert house.get("/").headers["location"] == "/begin/house-1"
    house.cookies = first
    assert house.get("/").status == 403


def test_a_form_from_elsewhere_is_refused(house: FirstHouse) -> None:
    path = house.key_path()
    assert house.post(path, Origin="http://evil.example").status == 403
    assert house.post(path, Sec_Fetch_Site="cross-site").status == 403
    house.begin()
    taken = house.post("/begin/place", STEPS["place"], Origin="http://evil.example")
    assert taken.status == 403
    assert house.so_far.steps == {}


def test_another_name_and_a_long_body_are_turned_away(house: FirstHouse) -> None:
    assert house.get("/", Host="evil.example").status == 421
    assert house.get("/", Host="evil.example", X_Forwarded_Proto="https").status == 403  # no key
    house.begin()
    assert house.post("/begin/place", {"typed": "x" * 9000}).status == 413
    assert house.get("/begin/../etc").status == 404


# -- the steps ------------------------------------------------------------------------------------

BAD = [
    ("place", {"typed": ""}, "Write the name of a place"),
    ("place", {"typed": "51,5"}, "Write decimals with a point"),
    ("place", {"typed": "Xyzzyville"}, "No place called Xyzzyville"),
    ("dusk", {"name": "x" * 81, "region": "UK", "units": "uk"}, "at most 80"),
    ("house-1", {"name": "Walnut", "minutes": "soon"}, "a whole number from 0 to 120"),
    ("house-1", {"name": "Wal\u202enut", "minutes": ""}, "U+202E"),
    ("birds-1", {"hens": "0", "roosters": "0"}, "at least one"),
    ("birds-1", {"hens": "six", "roosters": "0"}, "a whole number from 0 to 1000"),
    ("birds-1", {"hens": "6", "arrived": "1.4.2026"}, "2026-04-01"),
    ("birds-1", {"hens": "6", "arrived": "1900-01-01"}, '"1900-01-01" cannot be used'),
    ("people", {"you": "Ana", "others": "ana"}, "Two people are called ana"),
    ("web", {"where": "anywhere", "address": "hens"}, "begins with https://"),
    ("web", {"where": "anywhere", "address": "https://a b"}, "cannot be used"),
    ("reach-1", {}, "Choose one"),
    ("reach-1", {"how": "push", "server": ""}, "the push server that their app uses"),
    ("reach-1", {"how": "push", "server": "ftp://x"}, "the address of a push server"),
    ("reach-1", {"how": "mail", "mail": "ana"}, "one email address"),
]


def test_each_answer_is_checked_and_what_was_typed_is_kept(house: FirstHouse) -> None:
    house.begin()
    for step, fields, said in BAD:
        house.answer(until=step)
        reply = house.post(f"/begin/{step}", fields)
        assert reply.status == WRONG, (step, fields)
        assert any(said in one for one in wrong(reply.text)), (said, wrong(reply.text))
        for typed in filter(None, fields.values()):
            assert typed in unescape(reply.text), (step, typed)
        assert step not in house.so_far.steps


def test_the_place_is_shown_back_with_the_dusk_of_tonight(house: FirstHouse) -> None:
    house.begin()
    house.answer(until="dusk")
    page = house.get("/begin/dusk").text
    assert "Dusk tonight is 16:33." in page
    assert '<option value="UK" selected>' in page


def test_a_name_that_several_have_is_asked_about_and_a_slip_offers_the_nearest(
    house: FirstHouse,
) -> None:
    house.begin()
    several = house.post("/begin/place", {"typed": "Ludlow"})
    assert several.status == WRONG
    names = re.findall(r'name="choice" value="([-\d.,]+)"><bdi>(.*?)</bdi>', several.text)
    [value] = [value for value, name in names if "England" in name]
    chosen = house.post("/begin/place", {"typed": "Ludlow", "choice": value})
    assert chosen.headers["location"] == "/begin/dusk"
    page = house.get("/begin/dusk").text
    assert "Near Ludlow, England, United Kingdom." in page
    slip = house.post("/begin/place", {"typed": "Stranrear, United Kingdom"})
    [beside] = wrong(slip.text)
    assert "Did you mean one of these?" in beside
    assert "Stranraer" in slip.text


@unhurried
def test_a_step_back_shows_what_was_answered_and_another_place_is_asked_about(
    house: FirstHouse,
) -> None:
    house.begin()
    house.answer(until="people")
    assert 'value="14"' in house.get("/begin/house-1").text
    changed = house.post("/begin/house-1", {"name": "Walnut", "minutes": "5"})
    assert changed.headers["location"] == "/begin/people"  # nothing is asked twice
    assert house.post("/begin/place", {"typed": "60.2, 24.9"}).headers["location"] == "/begin/dusk"
    assert "Finland" in house.get("/begin/dusk").text


def test_no_step_can_be_jumped_to(house: FirstHouse) -> None:
    house.begin()
    for path in ("/begin/duty", "/begin/look-over", "/begin/house-9", "/begin/nothing"):
        assert house.get(path).headers["location"] == "/begin/place"
    assert house.post("/begin/keep").headers["location"] == "/begin/place"


@unhurried
def test_a_second_house_is_added_named_apart_and_taken_out_again(house: FirstHouse) -> None:
    house.begin()
    house.answer(until="run-1")
    more = house.post("/begin/run-1", {**STEPS["run-1"], "do": "another"})
    assert more.headers["location"] == "/begin/house-2"
    same = house.post("/begin/house-2", {"name": "walnut", "minutes": ""})
    assert wrong(same.text) == [
        "Another house is called that already. Give each a name of its own."
    ]
    house.post("/begin/house-2", {"name": "Barn", "minutes": ""})
    house.answer(until="people", birds_2={"hens": "3"}, run_2={"run": "none"})
    page = house.get("/begin/house-2").text
    assert "There is no such house" in page
    house.post("/begin/house-2", {"do": "remove"})
    assert not any(step.endswith("-2") for step in house.so_far.steps)


@unhurried
def test_a_topic_is_long_and_random_and_stays_the_same(house: FirstHouse) -> None:
    house.begin()
    house.answer(until="reach-1")
    reach = {"how": "push", "server": "push.example.net"}
    assert house.post("/begin/reach-1", reach).headers["location"] == "/begin/subscribe-1"
    topic = house.so_far.of("reach-1")["push"]
    assert re.fullmatch(r"https://push\.example\.net/hens-[0-9a-f]{24}", topic)
    page = house.get("/begin/subscribe-1").text
    assert f'href="{topic}"' in page
    assert "<svg" in page
    house.post("/begin/reach-1", reach | {"server": "https://push.example.net"})
    assert house.so_far.of("reach-1")["push"] == topic


# -- all is kept ----------------------------------------------------------------------------------


def test_the_answers_become_the_profile_and_this_device_its_owner(house: FirstHouse) -> None:
    house.begin()
    house.answer()
    page = house.get("/begin/look-over").text
    assert "Tonight, lock up at 16:18" in page
    assert "no reminder goes out" in page
    kept = house.post("/begin/keep")
    assert (kept.status, kept.headers["location"]) == (GOES_ON, "/begun")
    profile = house.household().profile
    assert (profile.site.name, profile.coop[0].name) == ("Orchard", "Walnut")
    assert [one.name for one in profile.person] == ["Ana", "Ben"]
    assert profile.coop[0].getting_there_minutes == 14
    assert profile.duty.monday == "ben"
    assert stat.S_IMODE(house.profile_path.stat().st_mode) == 0o600
    begun = house.get("/begun")
    assert begun.status == 200
    assert "Lock up at 16:18" in begun.text
    assert "A sign-in link for" in begun.text
    assert not (house.data / ANSWERS_FILE).exists()
    assert not (house.data / KEY_FILE).exists()
    assert house.get("/status").status == 200


@unhurried
def test_nobody_to_tell_runs_under_a_banner_that_says_so(house: FirstHouse) -> None:
    house.begin()
    house.answer(people={"you": "", "others": ""})
    house.post("/begin/keep")
    assert [one.name for one in house.household().profile.person] == ["Keeper"]
    page = house.get("/").text
    assert "Do not rely on the reminders now" in page
    page = house.get("/").text
    house.it_is("16:20")
    fields = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', house.get("/").text))
    shut = house.post("/door", {**fields, "count": "12", "do": "shut"})
    assert shut.status in {200, GOES_ON}, shut.text


@unhurried
def test_once_there_is_an_owner_no_key_and_no_cookie_of_the_first_run_is_good(
    house: FirstHouse,
) -> None:
    house.begin()
    house.answer()
    house.post("/begin/keep")
    house.get("/begun")
    first = {"duskfold-first-run": house.cookies["duskfold-first-run"]}
    house.cookies = first
    assert house.get("/begin/place").status == 404
    assert house.post("/begin/keep").status in {404, 405}
    assert house.get("/people").status == 403
    late = house.key_path()
    assert house.get(late).status == 404
    assert house.post(late).status in {404, 405}


@unhurried
def test_a_kill_after_all_was_kept_leaves_the_way_in_open_for_that_device_alone(
    house: FirstHouse,
) -> None:
    house.begin()
    house.answer()
    house.post("/begin/keep")
    del house.cookies["duskfold"]  # the answer never came
    house.kill()
    house.start()
    stranger, house.cookies = house.cookies, {}
    assert house.post("/begin/keep").status == 403
    house.cookies = stranger
    assert "One more tap" in house.get("/begin/look-over").text
    assert house.post("/begin/keep").headers["location"] == "/begun"
    assert house.get("/begun").status == 200
    assert not (house.data / ANSWERS_FILE).exists()


@unhurried
def test_the_way_in_is_shut_after_a_quarter_of_an_hour(house: FirstHouse) -> None:
    house.begin()
    house.answer()
    house.post("/begin/keep")
    house.kill()
    kept = house.so_far
    write_so_far(house.data, replace(kept, kept_at=house.now - timedelta(minutes=16)))
    house.start()
    del house.cookies["duskfold"]
    assert house.post("/begin/keep").status in {404, 405}


@unhurried
def test_a_kill_between_the_answers_loses_none(house: FirstHouse) -> None:
    house.begin()
    for step in ("dusk", "birds-1", "people", "duty"):
        house.answer(until=step)
        before = house.so_far
        house.kill()
        house.start()
        assert house.so_far == before
        assert house.get("/").headers["location"] == f"/begin/{step}"


def test_a_disk_that_takes_nothing_is_said_and_nothing_answered_before_is_lost(
    house: FirstHouse,
) -> None:
    house.begin()
    house.answer(until="house-1")
    before = house.so_far
    assert house.pages
    in_the_way = house.data / f".{ANSWERS_FILE}.{house.pages.pid}"  # where it is drafted
    in_the_way.mkdir()
    reply = house.post("/begin/house-1", STEPS["house-1"])
    in_the_way.rmdir()
    assert reply.status == 503
    assert "could not be saved" in reply.text
    assert house.so_far == before


@unhurried
def test_a_mail_password_is_a_private_file_and_in_no_profile(house: FirstHouse) -> None:
    house.begin()
    house.answer(until="mail", reach_1={"how": "mail", "mail": "ana@example.org"})
    fields = {"host": "mail.example.net", "user": "hens@example.net", "password": "one-time-7"}
    house.post("/begin/mail", fields)
    house.answer()
    house.post("/begin/keep")
    assert "one-time-7" not in house.profile_path.read_text()
    kept = house.data / "secrets" / "mail-password"
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert secret("mail-password", {"DUSKFOLD_DATA": str(house.data)}) == "one-time-7"


@unhurried
def test_an_address_of_the_home_network_is_what_links_lead_to(tmp_path: Path) -> None:
    with first_house(tmp_path, address="0.0.0.0") as house:  # noqa: S104 - as at home
        house.begin()
        house.answer(until="web")
        host = "192.168.7.20:8640"
        house.post("/begin/web", STEPS["web"], Host=host, Origin=f"http://{host}")
        house.answer()
        house.post("/begin/keep", Host=host, Origin=f"http://{host}")
        assert house.household().profile.web.base_url == f"http://{host}"


@unhurried
def test_whoever_comes_by_https_has_that_address_proposed_and_goes_on_there(
    house: FirstHouse,
) -> None:
    through = {"Host": "hens.example.org", "X_Forwarded_Proto": "https"}
    origin = "https://hens.example.org"
    begun = house.post(house.key_path(), Origin=origin, **through)
    assert "secure" in begun.headers["set-cookie"].lower()
    house.answer(until="web")
    assert f'value="{origin}"' in house.get("/begin/web", **through).text
    anywhere = {"where": "anywhere", "address": origin}
    house.post("/begin/web", anywhere, Origin=origin, **through)
    house.answer()
    kept = house.post("/begin/keep", Origin=origin, **through)
    assert kept.headers["set-cookie"].startswith("__Host-duskfold=")
    web = house.household().profile.web
    assert (web.base_url, web.trusted_proxies) == (origin, ("127.0.0.1/32", "::1/128"))
    assert house.get("/begun", **through).status == 200


@unhurried
def test_whoever_chose_another_address_gets_a_link_to_it(house: FirstHouse) -> None:
    house.begin()
    house.answer(web={"where": "anywhere", "address": "https://hens.example.org"})
    kept = house.post("/begin/keep")
    assert kept.status == 200
    assert "https://hens.example.org/sign-in/" in kept.text


@unhurried
def test_a_test_message_arrives_by_what_there_is(house: FirstHouse) -> None:
    house.begin()
    house.answer(reach_1={"how": "push", "server": house.push.url})
    house.post("/begin/keep")
    house.remind()
    assert house.post("/begun/test").headers["location"] == "/begun?tried=1"
    assert '<li class="yes">' in house.get("/begun?tried=1").text
    assert house.push.events.all()
