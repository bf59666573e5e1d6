"""The page of the door card: its times, its birds, whom to call, and a code that holds no key."""

import html
import re
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.cares.door_card import card_table, door_times
from scheduler.cares.records import NO_RECORDS
from scheduler.web.views.door_card import MOST_ROWS
from scheduler.web.views.subscribe import qr
from tests.conftest import declared
from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TWO_COOPS,
    household,
)
from tests.unhurried import unhurried
from tests.web.front import Front, free_port, front

ROW = re.compile(
    r'<tr><th scope="row">([^<]+)</th><td>([^<]+)</td><td class="lock-up">([^<]+)</td>'
    r"<td>([^<]+)</td></tr>"
)
SITTER = """
[[person]]
name = "Sam"
push = "{push}/sam-q7w2"
role = "sitter"
first_day = 2026-12-20
last_day = 2026-12-24
"""
OWN_TIMES = '[[coop]]\nname = "Barn"\n[coop.lockup]\nbasis = "sunset"\n'


def rows(text: str) -> list[tuple[str, ...]]:
    return ROW.findall(text)


def test_the_card_has_a_year_of_the_houses_times_and_its_birds(looked_at: Front) -> None:
    text = looked_at.get("/card", who="ana").text
    assert "December 2026 to November 2027" in text
    profile = declared(SITE + ONE_COOP)
    days = door_times(profile, profile.coop[0], NO_RECORDS, date(2026, 12, 1), date(2027, 11, 30))
    table = card_table(days, MOST_ROWS)
    shown = rows(text)
    assert len(shown) == len(table.rows) <= MOST_ROWS
    for row, (_, let_out, lock_up, shut_by) in zip(table.rows, shown, strict=True):
        told = tuple(f"{one // 60:02}:{one % 60:02}" for one in (row.lock_up, row.shut_by))
        assert (lock_up, shut_by) == told
        assert row.let_out is not None
        assert let_out == f"{row.let_out // 60:02}:{row.let_out % 60:02}"
    assert shown[0][0].startswith("1–")
    assert shown[-1][0].endswith("30 Nov")
    assert "less than 10\N{NO-BREAK SPACE}min off" in text
    assert "The clocks go forward on 28 March. The clocks go back on 31 October." in text
    assert re.search(r"<h3>Count them</h3>\s*<p>12 hens</p>", text)


def test_the_number_is_that_of_tonight(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    form = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "do": "elsewhere", "count": "2"}
    assert pages.post("/door", form, who="ana").status == 303
    assert "<p>10 hens</p>" in pages.get("/card", who="ana").text


def test_those_who_stay_are_called_in_their_order_and_no_sitter(tmp_path: Path) -> None:
    body = SITE + ONE_COOP + QUIET_MORNINGS + SITTER + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        text = pages.get("/card", who="sam").text
    [called] = re.findall(r'class="call">.*?</section>', text, re.DOTALL)
    assert re.findall(r"<bdi>(\w+)</bdi>", called) == ["Ana", "Kim"]
    # Who may not set the address is not sent there.
    assert "The card has no code to scan yet" in text
    assert "/change/server" not in text


def test_without_an_address_there_is_no_code_and_it_is_said_where_to_set_it(
    looked_at: Front,
) -> None:
    text = looked_at.get("/card", who="ana").text
    assert '<a href="/change/server">Write the address down</a>' in text
    assert "<svg" not in text.replace('<svg class="icon"', "")
    assert "Say that the door is shut" not in text


@unhurried
def test_the_code_is_the_plain_address_and_asks_a_phone_to_sign_in(tmp_path: Path) -> None:
    port = free_port()
    base = f"http://127.0.0.1:{port}"
    with household(tmp_path) as house, front(house, base_url=base, port=port) as pages:
        text = pages.get("/card", who="ana").text
        assert f'<p class="plain-address">{base}/</p>' in text
        assert qr(f"{base}/") in text
        assert "The card has no code" not in text
        stranger = pages.get("/")
        assert stranger.status == 403
        assert "Sign in" in stranger.text
        assert pages.get("/card").status == 403


@unhurried
def test_houses_with_times_of_their_own_have_cards_of_their_own(tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    for folder in ("one", "two"):
        (tmp_path / folder).mkdir()
    with household(tmp_path / "one", body=body) as house, front(house, published=False) as pages:
        text = pages.get("/card", who="ana").text
        assert "/card?house=" not in text
        assert '<h2 id="card-of">Walnut and Barn</h2>' in text
        assert re.findall(r"<p>(\w+: \d+ hens)</p>", text) == ["Walnut: 12 hens", "Barn: 8 hens"]
    body = body.replace('[[coop]]\nname = "Barn"\n', OWN_TIMES)
    with household(tmp_path / "two", body=body) as house, front(house, published=False) as pages:
        walnut = pages.get("/card", who="ana").text
        barn = pages.get("/card?house=barn", who="ana").text
        assert '<a href="/card?house=walnut" aria-current="true">Walnut</a>' in walnut
        assert '<a href="/card?house=barn" aria-current="true">Barn</a>' in barn
        assert '<h2 id="card-of">Barn</h2>' in barn
        assert rows(walnut) != rows(barn)
        assert "<p>8 hens</p>" in barn
        assert rows(pages.get("/card?house=none", who="ana").text) == rows(walnut)


def test_a_keeper_in_the_us_reads_twelve_hours(tmp_path: Path) -> None:
    body = SITE.replace('"UK"', '"US"') + ONE_COOP + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        shown = rows(pages.get("/card", who="ana").text)
    assert all(out.endswith(" am") and shut.endswith(" pm") for _, out, shut, _ in shown)


def test_names_stay_as_they_are_written(tmp_path: Path) -> None:
    body = SITE + ONE_COOP.replace('"Walnut"', '"<b>&"') + QUIET_MORNINGS + PEOPLE
    body = body.replace('"Orchard"', '"A & <i>B</i>"').replace('"Ana"', '"An<b>a"')
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        text = pages.get("/card", who=house_person(pages)).text
    assert "<i>" not in text
    assert "<b>" not in text
    assert "An<b>a" in html.unescape(text)


def house_person(pages: Front) -> str:
    return pages.household().profile.person[0].id


@pytest.mark.parametrize("months", [1, 11])
def test_the_card_begins_with_the_month_that_is_now(pages: Front, months: int) -> None:
    pages.house.set_clock(pages.house.now + timedelta(days=31 * months))
    text = pages.get("/card", who="ana").text
    begins = pages.house.now.date().replace(day=1)
    assert f"{begins:%B %Y} to " in text
    assert rows(text)[0][0].split("–")[0].split(" ")[0] == "1"


def test_whom_to_call_has_the_number_that_was_given_and_a_line_where_none_was(
    tmp_path: Path,
) -> None:
    numbered = PEOPLE.replace('name = "Ana"', 'name = "Ana"\ntelephone = "020 7946 0321"')
    with household(tmp_path, body=SITE + ONE_COOP + numbered) as house, front(house) as pages:
        card = pages.get("/card", who="ana").text.partition("Whom to call")[2]
        ana, _, kim = card.partition("<bdi>Kim</bdi>")
        assert "020 7946 0321" in ana
        assert "by-hand" not in ana
        assert '<span class="by-hand">Telephone</span>' in kim
