"""Week: a row a day from any date on, what was said of past evenings, and jobs ticked in place."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from html import unescape
from pathlib import Path

import pytest

from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, WINTER, household
from tests.web.front import Front, front

DAY = timedelta(days=1)
LATE_BARN = TWO_COOPS.replace('"Barn"\n', '"Barn"\n[coop.lockup]\nbasis = "sunset"\n')
BEDDING = "bedding|walnut|2026-12-22|1"
CLOSED = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12"}


def shown(pages: Front, path: str = "/week", who: str = "ana") -> str:
    return unescape(pages.get(path, who=who).text)


def rows(text: str) -> list[str]:
    """The rows of the days, one after another."""
    return re.split(r'<li class="day[" ]', text.partition("</ol>")[0])[1:]


def bare(text: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


def some_job(pages: Front, day: date) -> str:
    """A job of that day that Week lets one tick."""
    found = re.findall(rf'name="job" value="([^"]+\|{day}\|1)"', shown(pages))
    assert found, day
    return str(found[0])


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """Two houses, of which one is locked up later."""
    body = SITE + LATE_BARN + QUIET_MORNINGS + PEOPLE
    with (
        household(tmp_path_factory.mktemp("house"), body=body) as house,
        front(house, published=False) as pages,
    ):
        yield pages


def test_each_day_is_one_row_with_its_times_and_who_has_the_evening(looked_at: Front) -> None:
    found = rows(shown(looked_at))
    assert len(found) == 7
    today, tomorrow, *_ = map(bare, found)
    times = r"Lock up 16:18 shut by 16:33 let out 08:3\d out from 14:5\d who Ana"
    assert re.search(rf"Today 21 Dec {times}", today)
    assert "Tue 22 Dec Lock up 16:19" in tomorrow
    assert '<a href="/" aria-current="date">' in found[0]
    assert "aria-current" not in found[1]


def test_houses_share_what_is_the_same_and_have_columns_for_what_differs(two: Front) -> None:
    today = bare(rows(shown(two))[0])
    assert re.search(r"Walnut Lock up 16:18 Barn Lock up 16:33 shut by 16:33 let out", today)
    assert today.count("shut by") == today.count("let out") == 1


def test_houses_with_the_same_times_share_all_of_them(tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        today = bare(rows(shown(pages))[0])
    assert today.count("Lock up 16:18") == 1
    assert "Barn" not in today


def test_a_job_is_ticked_in_its_row_and_taken_back_there(pages: Front) -> None:
    job = some_job(pages, WINTER + DAY)
    sent = {"job": job, "do": "done", "back": "week", "from": "2026-12-21"}
    anchor = "job-" + job.replace("|", "-")
    back = pages.post("/jobs", sent, who="kim").headers["location"]
    assert back == f"/week?from=2026-12-21#{anchor}"
    text = shown(pages, back.partition("#")[0])
    line = text[text.index(f'id="{anchor}"') :].partition("</button>")[0]
    assert 'value="undo" aria-pressed="true"' in line
    assert "Kim, 12:30 (Mon) · undo" in bare(line)
    assert "Done, and no longer due" not in shown(pages, "/"), "it is due tomorrow"
    assert pages.post("/jobs", {**sent, "do": "undo"}, who="ana").headers["location"] == back
    assert "Kim, 12:30" not in shown(pages)
    again = pages.post("/jobs", {**sent, "do": "undo"}, who="ana").headers["location"]
    assert again == f"/week?from=2026-12-21&already={anchor}#{anchor}"
    assert "already been taken back" in shown(pages, again.partition("#")[0])


def test_a_job_that_was_done_early_is_done_when_its_day_comes(pages: Front) -> None:
    job = some_job(pages, WINTER + DAY)
    pages.post("/jobs", {"job": job, "do": "done", "back": "week"}, who="kim")
    pages.house.set_clock(pages.house.local("12:30", WINTER + DAY))
    text = shown(pages, "/")
    line = text[text.index(f'value="{job}"') :].partition("</li>")[0]
    assert 'value="undo"' in line
    assert "Kim, 12:30 (Mon)" in bare(line), "not at half past twelve today"
    pages.house.set_clock(pages.house.local("12:30", WINTER + 2 * DAY))
    assert job not in shown(pages, "/"), "nor does it wait the day after"


def test_what_is_too_far_ahead_or_every_days_own_is_not_ticked_ahead(pages: Front) -> None:
    far = shown(pages, "/week?from=2027-01-11")
    assert len(rows(far)) == 7
    assert 'action="/jobs"' not in far
    for job in ("water|walnut|2026-12-22|1", "bedding|walnut|2027-01-12|1"):
        sent = {"job": job, "do": "done", "back": "week", "from": "2027-01-11"}
        refused = pages.post("/jobs", sent, who="kim")
        assert refused.status == 422
        assert f'This page has no job "{job}"' in unescape(refused.text)
        assert "11 Jan to 17 Jan" in refused.text, "the days that were on the screen"
    early = {"job": some_job(pages, WINTER + DAY), "do": "done"}
    assert pages.post("/jobs", early, who="kim").status == 422, "Today has no such line"


def test_a_sitter_ticks_nothing_before_they_are_there(tmp_path: Path) -> None:
    sitter = (
        '[[person]]\nname = "Sam"\nrole = "sitter"\nfirst_day = 2026-12-23\nlast_day = 2026-12-24\n'
    )
    body = SITE + ONE_COOP + PEOPLE + sitter
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        text = shown(pages, who="sam")
        assert len(rows(text)) == 7
        assert 'action="/jobs"' not in text
        house.set_clock(house.local("12:30", WINTER + 2 * DAY))
        assert 'action="/jobs"' in shown(pages, who="sam")


def test_a_day_with_many_jobs_shows_three_and_unfolds_where_one_of_the_others_was_ticked(
    pages: Front,
) -> None:
    text = shown(pages)
    [busy] = [one for one in rows(text) if "<details>" in one]
    before, _, more = busy.partition("<details>")
    assert before.count('action="/jobs"') == 3
    number = re.search(r"<summary>(\d+) more</summary>", more)
    assert number
    assert more.count('action="/jobs"') == int(number[1]) > 1
    [unfold] = set(re.findall(r'name="open" value="([\d-]+)"', more))
    [job, *_] = re.findall(r'name="job" value="([^"]+)"', more)
    sent = {"job": job, "do": "done", "back": "week", "from": "2026-12-21", "open": unfold}
    back = pages.post("/jobs", sent, who="kim").headers["location"]
    assert f"&open={unfold}#job-" in back
    assert "<details open>" in shown(pages, back.partition("#")[0])


def test_a_past_week_says_when_each_door_was_shut_and_by_whom(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:31"))
    assert pages.post("/door", {**CLOSED, "count": "12", "do": "shut"}, who="kim").status == 303
    assert "Shut at 16:31 by Kim, 12 in" in shown(pages)
    pages.house.set_clock(pages.house.local("16:31", WINTER + DAY))
    sent = {**CLOSED, "day": "2026-12-22", "count": "11", "do": "shut"}
    assert pages.post("/door", sent, who="ana").status == 303
    pages.house.set_clock(pages.house.local("12:30", WINTER + 30 * DAY))
    whole, missing, unsaid, *_ = rows(shown(pages, "/week?from=2026-12-21"))
    assert "Shut at 16:31 by Kim, 12 in" in bare(whole)
    assert "said well" in whole
    assert "Shut at 16:31 by Ana, 11 in, 1 missing" in bare(missing)
    assert "said well" not in missing
    assert "said wrong" in missing
    assert "Nobody said it was shut." in bare(unsaid)
    assert 'action="/jobs"' not in whole + missing + unsaid
    assert "The weather" not in shown(pages, "/week?from=2026-12-21")


def test_a_job_of_weeks_ago_still_says_who_did_it(pages: Front) -> None:
    job = some_job(pages, WINTER + DAY)
    pages.post("/jobs", {"job": job, "do": "done", "back": "week"}, who="kim")
    pages.house.set_clock(pages.house.local("12:30", WINTER + 30 * DAY))
    assert "Kim, 12:30 (Mon)" in bare(rows(shown(pages, "/week?from=2026-12-21"))[1])


def test_one_goes_back_and_on_by_a_week_and_no_further_than_two_years(looked_at: Front) -> None:
    links = re.findall(r'href="(/week\?from=[\d-]+)" rel="(\w+)"', shown(looked_at))
    assert links == [("/week?from=2026-12-14", "prev"), ("/week?from=2026-12-28", "next")]
    back = shown(looked_at, "/week?from=2026-12-28")
    assert '<a href="/week">Back to today</a>' in back
    assert "Today" not in bare(rows(back)[0])
    last = WINTER + timedelta(days=731)
    assert 'rel="next"' not in shown(looked_at, f"/week?from={last}")
    assert 'rel="prev"' in shown(looked_at, f"/week?from={last}")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("21.12.2026", '"21.12.2026" is not a date. Type one like this: 2026-12-21'),
        ("2026-02-30", '"2026-02-30" is not a date. Type one like this: 2026-12-21'),
        ("2031-01-01", "Choose a date from 20 December 2024 to 21 December 2028."),
        ("<b>", '"<b>" is not a date. Type one like this: 2026-12-21'),
    ],
)
def test_a_date_that_cannot_be_shown_stays_in_its_field_with_the_reason(
    looked_at: Front, typed: str, said: str
) -> None:
    answer = looked_at.get(f"/week?from={typed.replace('<', '%3C').replace('>', '%3E')}", who="ana")
    assert answer.status == 422
    assert "<b>" not in answer.text
    text = unescape(answer.text)
    assert f'role="alert">{said}</p>' in text
    field = re.search(r'<input type="(\w+)" id="from"[^>]*', answer.text)
    assert field
    assert f'value="{typed}"' in unescape(field[0])
    assert 'aria-describedby="wrong-from"' in field[0]
    assert field[1] == ("date" if typed == "2031-01-01" else "text")
    assert len(rows(text)) == 7
    assert shown(looked_at, "/week?from=").count("Today") > 1, "an empty field is today"
