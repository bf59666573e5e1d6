"""The pages show the weather with where it is from, and a table says what each picture does."""

import html
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.climate.forecast import Measured, OfficialWarning
from scheduler.climate.weather import Reading
from scheduler.profile.quantity import NO_BREAK
from tests.faults.house import ONE_COOP, PEOPLE, SITE, WINTER, household
from tests.weather_decided import decided, decided_days, keep_decided
from tests.web.front import Front, front

DAY = timedelta(days=1)
MADE = datetime(2026, 12, 21, 10, tzinfo=UTC)
SENSOR = '[[sensor]]\nname = "Garden"\nwhere = "outside"\nfile = "/nowhere/garden.txt"\n'
YES = '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
WARNING = OfficialWarning(
    id="1", kind="storm", event="High Wind Warning", headline="High Wind Warning <until> 9 PM",
    sender="NWS Nowhere", onset=MADE, ends=MADE + 2 * DAY,
)  # fmt: skip


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    """A house at 12:30 whose weather of three days was decided by a forecast of 10:00."""
    body = SITE + ONE_COOP + PEOPLE + YES + SENSOR
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        with house.journal() as journal:
            site_id = house.household().profile.site.id
            days = []
            for number in range(3):
                of = decided(WINTER + number * DAY, low_c=-3.0 - number)
                gusts = Reading(value=18.0, source="forecast", at=MADE, by="met-norway")
                weather = replace(
                    of.weather,
                    low_c=replace(of.weather.low_c, at=MADE, by="met-norway"),
                    high_c=replace(of.weather.high_c, at=MADE, by="met-norway"),
                    gust_m_s=gusts,
                    warnings=(WARNING,),
                )
                days.append(replace(of, weather=weather))
            keep_decided(journal, site_id, days)
            at = MADE + timedelta(minutes=150 - 20)
            journal.keep_measured(site_id, "garden", Measured(at=at, air_c=3.4))
        yield served


def shown(pages: Front, path: str) -> str:
    text = html.unescape(pages.get(path, who="ana").text)
    return text.replace(NO_BREAK, " ")


def test_the_week_has_each_days_weather_with_its_source_in_a_table_with_heads(
    pages: Front,
) -> None:
    text = shown(pages, "/week")
    [table] = re.findall(r"<table.*?</table>", text, re.DOTALL)
    heads = re.findall(r'<th scope="col">(.*?)</th>', table)
    assert heads == ["Day", "Night to day", "Wind and snow", "Jobs it brings", "Where that is from"]
    rows = re.findall(r"<tr><th scope=.row.>.*?</tr>", table)
    assert len(rows) == 7
    today, *_, last = rows
    for said in ("-3 °C to 4 °C", "gusts 40 mph", "forecast of 10:00, MET Norway"):
        assert said in today, said
    assert "usual for the date" in last
    assert "about " in last
    [picture] = re.findall(r'<svg class="outlook".*?</svg>', text, re.DOTALL)
    assert len(picture.encode()) < 6000
    assert picture.count("<rect") == 7


def test_the_weather_page_says_tonight_and_tomorrow_and_what_was_measured(pages: Front) -> None:
    text = shown(pages, "/weather")
    assert "-4 °C tonight (forecast of 10:00, MET Norway)" in text
    assert "4 °C tomorrow (forecast of 10:00, MET Norway)" in text
    assert "Measured last: 3.4 °C (Garden), 20 minutes ago." in text
    assert "Duskfold has no forecast" not in text
    assert "There is no forecast" not in text


def test_today_says_that_cloud_makes_it_dark_early(pages: Front) -> None:
    assert "Cloudy" not in shown(pages, "/")
    with pages.house.journal() as journal:
        site_id = pages.house.household().profile.site.id
        (of,) = decided_days(journal, site_id, WINTER, WINTER)
        later = of.decided_at + timedelta(minutes=5)
        keep_decided(journal, site_id, [replace(of, decided_at=later, shift_minutes=12)])
    assert "Cloudy: dark about 12 minutes early." in shown(pages, "/")


def test_an_official_warning_is_quoted_on_today_and_week_and_escaped(pages: Front) -> None:
    for path in ("/", "/week"):
        raw = pages.get(path, who="ana").text
        assert "High Wind Warning &lt;until&gt; 9 PM" in raw, path
        assert "<until>" not in raw
        assert "Official warning from NWS Nowhere" in raw


def test_the_year_has_the_air_in_a_picture_and_a_table(pages: Front) -> None:
    text = shown(pages, "/year")
    [picture] = re.findall(r'<svg class="year air".*?</svg>', text, re.DOTALL)
    assert len(picture.encode()) < 6000
    [table] = re.findall(r'<table class="stack air-table">.*?</table>', text, re.DOTALL)
    assert table.count('scope="row"') == 12
    assert len(re.findall(r'<th scope="col">', table)) == 6
    assert re.search(r"\d+ of 31", table)
