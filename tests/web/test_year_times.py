"""The year's times at a date: as its form shows them, and as the script reads them."""

import re
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from html import unescape

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.months import year_from
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.profile.values import Profile
from scheduler.web.year_times import for_script, times_on
from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, household
from tests.web.front import Front, front
from tests.web.test_week import bare

NORTH = (
    '[site]\nname = "S"\nlatitude = 60\nlongitude = 6\ntimezone = "Europe/Oslo"\n'
    '[lockup]\nbasis = "civil dusk"\ncap = "none"\n'
    '[[coop]]\nname = "C"\n[[flock]]\nname = "F"\nhens = 6\n'
)
TODAY = date(2026, 11, 25)
DAY = timedelta(days=1)


def shown(pages: Front, path: str) -> str:
    return unescape(pages.get(path, who="ana").text)


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """Two houses of which the second is locked up later."""
    late = TWO_COOPS.replace('"Barn"\n', '"Barn"\n[coop.lockup]\nbasis = "sunset"\n')
    body = SITE + late + QUIET_MORNINGS + PEOPLE
    with (
        household(tmp_path_factory.mktemp("house"), body=body) as house,
        front(house, published=False) as pages,
    ):
        yield pages


def reading(text: str) -> str:
    return bare(text.partition('<h2 id="reading-day"')[2].partition("</dl>")[0].partition(">")[2])


def test_the_script_has_the_minutes_that_the_form_shows_also_past_midnight(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    profile = declare(NORTH)
    first, last = year_from(TODAY)
    planned = plan(profile, NO_RECORDS, first, last, catalogue)
    coop = profile.coop[0]
    days = for_script(planned, coop).times.split(";")
    assert len(days) == 365
    late = 0
    for number, told in enumerate(days):
        day = first + number * DAY
        reads = times_on(planned, coop, day)
        minutes = [int(one) if one else None for one in told.split(",")]
        texts = [reads.lock_up, reads.latest, reads.let_out, reads.free_range]
        for minute, text in zip(minutes, texts, strict=True):
            if minute is None:
                assert not text, day
                continue
            at = datetime.combine(day, datetime.min.time()) + timedelta(minutes=minute)
            late += at.date() > day
            assert text.startswith(f"{at:%H:%M}"), day
            assert ("(" in text) == (at.date() > day), day
    assert late


def test_a_date_is_read_without_a_script_for_each_house(two: Front) -> None:
    text = shown(two, "/year?on=2026-12-24")
    assert re.fullmatch(
        r"Thursday 24 December Lock up 16:20 shut by 16:35 let out 08:3\d out from 14:5\d",
        reading(text),
    )
    assert re.search(r'<a href="/year\?coop=barn&on=2026-12-24"><bdi>Barn', text)
    assert "Thursday 24 December Lock up 16:35" in reading(
        shown(two, "/year?coop=barn&on=2026-12-24")
    )


def test_the_slider_says_the_date_and_its_times_in_words(two: Front) -> None:
    text = shown(two, "/year")
    [slider] = re.findall(r'<input type="range"[^>]*>', text)
    assert 'value="20"' in slider
    assert 'max="364"' in slider
    assert re.search(
        r'aria-valuetext="Monday 21 December: lock up 16:18, shut by 16:33, let out 08:3\d, '
        r'out from 14:5\d"',
        slider,
    )


@pytest.mark.parametrize("typed", ["2026-11-30", "2028-01-01", "tomorrow"])
def test_a_date_that_the_year_has_not_stays_in_the_field_with_the_reason(
    two: Front, typed: str
) -> None:
    answer = two.get(f"/year?on={typed}", who="ana")
    assert answer.status == 422
    says = (
        '"tomorrow" is not a date. Type one like this: 2026-12-21'
        if typed == "tomorrow"
        else "Choose a date from 1 December 2026 to 30 November 2027."
    )
    text = unescape(answer.text)
    assert f'role="alert">{says}</p>' in text
    assert f'name="on" value="{typed}"' in text
    assert "Monday 21 December" in reading(text)


def test_the_months_of_a_house_have_its_own_lock_ups_and_changes(two: Front) -> None:
    def table(house: str) -> str:
        text = shown(two, f"/year?coop={house}")
        return bare(text.partition('<table class="stack months">')[2].partition("</table>")[0])

    walnut, barn = table("walnut"), table("barn")
    assert "Dec 2026 16:16 to 16:25" in walnut
    assert "Dec 2026 16:31 to 16:40" in barn
    assert "(Walnut)" not in walnut + barn
    changes = re.findall("[0-9]+ [A-Z][a-z]{2} · [A-Z]", walnut)
    assert changes, "no bare number that reads like a count"
    assert "Jobs a week, all houses" in walnut


def test_the_page_is_light(two: Front) -> None:
    page = two.get("/year", who="ana").text
    pictures = sum(map(len, re.findall(r"<svg class=\"year.*?</svg>", page, re.DOTALL)))
    assert len(page.encode()) - pictures < 60_000
