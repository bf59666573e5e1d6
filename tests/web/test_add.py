"""Add: what happened is told in two taps from Today, with at most one number, and taken back."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.cares.records import Report, Spell
from scheduler.web.report_forms import is_over
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, WINTER, household
from tests.unhurried import unhurried
from tests.web.front import Front, front

ONE_TAP = ("heat", "frost", "storm", "snow", "order")
GRADES = ("nearby", "tried", "got-at")


@pytest.fixture
def american(tmp_path: Path) -> Iterator[Front]:
    """The pages of a household that reads Fahrenheit."""
    body = 'units = "us"\n' + SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE
    folder = tmp_path / "american"
    folder.mkdir()
    with household(folder, body=body) as house, front(house, published=False) as served:
        yield served


def form_of(page: str, of: str) -> tuple[str, dict[str, str]]:
    """Where the tile with that in its text sends its form, and what it sends."""
    [tile] = [one for one in page.split('<button class="tile')[1:] if of in one.split("</but")[0]]
    opening = tile.partition(">")[0]
    [form_id] = re.findall(r'form="([^"]+)"', opening)
    form = re.search(rf'<form[^>]*action="([^"]+)" id="{form_id}"[^>]*>(.*?)</form>', page)
    assert form, form_id
    pressed = re.findall(r'name="(\w+)" value="([^"]+)"', opening)
    return form[1], dict([*re.findall(r'name="(\w+)" value="([^"]+)"', form[2]), *pressed])


def kept(pages: Front) -> list[tuple[str, str | None]]:
    """Kind and grade of the reports that stand."""
    query = "SELECT kind, grade FROM report WHERE undone_at IS NULL ORDER BY number"
    return [(row[0], row[1]) for row in pages.house.rows(query)]


@pytest.mark.parametrize(
    "told",
    [
        one if one in {"heat", "order", "tried"} else pytest.param(one, marks=unhurried)
        for one in (*ONE_TAP, *GRADES)
    ],
)
def test_two_taps_lead_from_today_to_a_report_and_a_third_takes_it_back(
    pages: Front, told: str
) -> None:
    bar = pages.get("/", who="ana").text.partition('<nav class="bar"')[2].partition("</ul>")[0]
    assert '<a href="/add"' in bar, "the first tap"
    action, sent = form_of(pages.get("/add", who="ana").text, f'value="{told}"')
    reply = pages.post(action, sent, who="ana")  # the second
    assert reply.headers["location"] == "/add#report-1"
    assert kept(pages) == [(told, None) if told in ONE_TAP else ("predator", told)]
    page = pages.get("/add", who="ana").text
    report = page.partition('id="report-1"')[2].partition("</li>")[0]
    assert page.index("In force now") < page.index('id="report-1"') < page.index('class="tiles"')
    assert re.search("<p( class=.small.)?>", report.partition("Reported by Ana")[2]), "what it does"
    assert 'value="undo"' in report
    assert pages.post("/add/end", {"number": "1", "do": "undo"}, who="ana").status == 303
    assert kept(pages) == []


@pytest.mark.parametrize("told", ["storm", "snow"])
def test_each_job_that_a_report_makes_is_told_once(pages: Front, told: str) -> None:
    pages.post("/add", {"kind": told}, who="ana")
    page = pages.get("/add", who="ana").text
    report = page.partition('id="report-1"')[2].partition("</li>")[0]
    [job] = re.findall(
        r"<p><strong>(?:<bdi>)?(.*?)\. Do it now\. ", report.partition("Reported")[2]
    )
    assert job.startswith(("Storm: ", "Snow: "))
    assert report.count(job) == 1


def test_in_force_is_what_holds_today_or_later_and_the_diary_takes_back_the_rest(
    pages: Front,
) -> None:
    def listed() -> dict[str, str]:
        page = pages.get("/add", who="ana").text.partition("In force now")[2]
        now, _, rest = page.partition('class="tiles"')[0].partition("<h3>Over</h3>")
        over, _, back = rest.partition("<h3>Taken back</h3>")
        places = {"now": now, "over": over, "back": back}
        return {
            number: place
            for place, text in places.items()
            for number in re.findall(r'id="report-(\d+)"', text)
        }

    pages.house.set_clock(pages.house.local("12:00"))
    later = WINTER + timedelta(days=5)
    pages.post("/add", {"kind": "storm"}, who="ana")
    pages.post("/add", {"kind": "frost"}, who="ana")
    pages.post("/add", {"kind": "snow", "first": later.isoformat()}, who="ana")
    pages.post("/add/end", {"number": "1", "do": "over"}, who="ana")
    assert listed() == {"1": "over", "2": "now", "3": "now"}
    pages.house.set_clock(pages.house.local("12:00", WINTER + timedelta(days=1)))
    assert listed() == {"3": "now"}
    diary = pages.get("/diary", who="ana").text
    for said in ("Reported: storm", "Reported: frost"):
        entry = diary.partition(said)[2].partition("</li>")[0]
        assert "Take it back" in entry, said


def test_a_medicine_is_in_force_while_eggs_are_withheld() -> None:
    dose = Report(kind="medicine", spell=Spell(first=WINTER, last=WINTER), words="Wormer")
    for eggs, meat, free in ((0, None, 1), (7, 3, 8), (7, 10, 11)):
        labelled = replace(dose, egg_days=eggs, meat_days=meat)
        days = [day for day in range(20) if not is_over(labelled, WINTER + timedelta(days=day))]
        assert days == [*range(free)], (eggs, meat)
    assert not is_over(dose, WINTER + timedelta(days=40)), "nobody has read its label"


def test_heat_and_frost_ask_for_one_number_in_the_unit_of_the_household(
    pages: Front, american: Front
) -> None:
    for front_of, unit, first, typed, said in (
        (pages, "°C", "30", "36", "36\u00a0°C"),
        (american, "°F", "86", "97", "97\u00a0°F"),
    ):
        page = front_of.get("/add", who="ana").text
        assert f"The hottest it will be, in {unit}" in page
        form = page.partition("The hottest it will be")[2].partition("</form>")[0]
        assert re.findall(r'<input id="(\S+)" .*value="([^"]*)"', form) == [("heat-air", first)]
        sent = {"kind": "heat", "form": "degrees", "air": typed}
        assert front_of.post("/add", sent, who="ana").status == 303
        assert f"Heat of {said} on" in front_of.get("/add", who="ana").text
    frost = pages.get("/add", who="ana").text.partition("The coldest it will be")[2]
    assert 'value="-5"' in frost.partition("</form>")[0]


@pytest.mark.parametrize("typed", ["warm", "", "3O", "36 K"])
def test_what_is_no_number_is_kept_beside_what_would_be_one(looked_at: Front, typed: str) -> None:
    reply = looked_at.post("/add", {"kind": "frost", "form": "degrees", "air": typed}, who="ana")
    assert reply.status == 422
    [beside] = re.findall(r'id="wrong-frost-air">([^<]*)<', reply.text)
    assert beside == "Type a number, such as -5."
    field = reply.text.partition('id="frost-air"')[2].partition(">")[0]
    assert f'value="{typed}"' in field
    assert 'aria-invalid="true"' in field
    assert re.search(r'<details class="more" name="tell" open>\s*<summary>How cold', reply.text)
    assert 'id="wrong-heat-air"' not in reply.text
    assert kept(looked_at) == []


def test_no_heat_that_cannot_be_is_kept_and_an_odd_one_is_asked_about(pages: Front) -> None:
    sent = {"kind": "heat", "form": "degrees", "air": "90"}
    assert "Accepted: " in pages.post("/add", sent, who="ana").text
    odd = pages.post("/add", sent | {"air": "55"}, who="ana")
    assert "Yes, note it" in odd.text
    again = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', odd.text))
    assert again["air"] == "55"
    assert kept(pages) == []
    assert pages.post("/add", sent | {"air": "55", "sure": "1"}, who="ana").status == 303
    assert kept(pages) == [("heat", None)]


def test_an_unwell_bird_is_told_in_one_tap_whatever_it_has(pages: Front) -> None:
    page = pages.get("/add", who="ana").text
    form = page.partition('id="unwell"')[2].partition("</form>")[0]
    sent = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    [house] = re.findall(r'form="unwell" name="coop" value="(\w+)"', page)
    assert pages.post("/add", {**sent, "coop": house}, who="ana").status == 303
    assert "1 ill bird (unwell) since Mon 21 Dec" in pages.get("/add", who="ana").text


def test_an_unwell_bird_is_told_by_its_sign_in_one_tap(pages: Front) -> None:
    page = pages.get("/add", who="ana").text.partition("What do you see?")[2]
    assert 'name="sign" value="limping"' in page.partition("</form>")[0]
    reply = pages.post("/add", {"kind": "illness", "sign": "limping"}, who="ana")
    assert reply.headers["location"] == "/add#report-1"
    page = pages.get("/add", who="ana").text
    assert "Her illness is over" in page
    assert pages.post("/add/end", {"number": "1", "do": "over"}, who="ana").status == 303


def test_birds_that_came_are_told_with_one_number_and_undone_where_it_is_told(
    pages: Front,
) -> None:
    wrong = {"kind": "flock", "what": "arrived", "count": "some"}
    reply = pages.post("/add/came", wrong, who="ana")
    assert reply.status == 422
    assert '"some" is not a number of birds.' in reply.text.replace("&#34;", '"')
    assert 'id="came" open' in reply.text
    assert 'value="some"' in reply.text
    reply = pages.post("/add/came", wrong | {"count": "2"}, who="ana")
    assert reply.headers["location"] == "/add#in-force"
    page = pages.get("/add", who="ana").text
    assert "Now at Walnut: 14 birds." in page
    [entry] = re.findall(r'name="entry" value="(\d+)"', page.partition('class="tiles"')[0])
    assert pages.post("/add/came/undo", {"entry": entry}, who="ana").status == 303
    assert "Now at Walnut: 12 birds." in pages.get("/add", who="ana").text


def test_a_bag_of_feed_keeps_for_eight_weeks_from_the_tap_and_is_no_job_of_today(
    pages: Front,
) -> None:
    action, sent = form_of(pages.get("/add", who="ana").text, "A bag of feed was opened")
    for _ in range(2):  # a wet screen taps twice
        assert pages.post(action, sent, who="ana").headers["location"] == "/add#in-force"
    told = "A bag of feed was opened on Mon 21 Dec: use it up by Mon 15 Feb."
    assert told in pages.get("/add", who="ana").text
    assert "bag of feed" not in pages.get("/", who="ana").text
    assert "A bag of feed was opened" in pages.get("/diary", who="ana").text
    assert pages.house.rows("SELECT care_id, undone_at FROM done") == [("feed-opened", None)]
    assert pages.post("/add/feed", {"do": "undo"}, who="ana").status == 303
    assert told not in pages.get("/add", who="ana").text


def test_of_the_forms_that_unfold_one_is_open_at_a_time(pages: Front) -> None:
    for path, forms in (("/add", 4), ("/birds", 4)):
        page = pages.get(path, who="ana").text
        folds = re.findall(r'<details class="[^"]*" name="(\w+)"', page)
        assert folds == ["tell"] * forms, path
        assert not re.search(r'name="tell"[^>]* open', page), path
    reply = pages.post("/birds", {"kind": "medicine"}, who="ana")
    assert len(re.findall(r'name="tell"[^>]* open', reply.text)) == 1


def test_what_a_page_from_before_an_update_sends_is_kept(pages: Front) -> None:
    assert pages.post("/weather", {"kind": "storm"}, who="ana").status == 303
    assert pages.post("/weather/end", {"number": "1", "do": "undo"}, who="ana").status == 303
    assert (
        "<form"
        not in pages.get("/weather", who="kim")
        .text.partition("<main")[2]
        .partition('id="forecast"')[0]
    )
