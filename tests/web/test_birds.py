"""The page Birds, and what Today says of them."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, WINTER, household
from tests.web.front import Front, front

ROLES = """
[[person]]
name = "Ben"
push = "{push}/ben-{secret}"
role = "member"
[[person]]
name = "Jo"
push = "{push}/jo-{secret}"
role = "sitter"
first_day = 2026-12-21
last_day = 2026-12-22
"""
RULE = "Do not eat, give away or sell the eggs before Tue 29 Dec"


def medicine(pages: Front, **more: str) -> int:
    form = {"kind": "medicine", "words": "Wormer <A>", "eggs": "7", "meat": "14"} | more
    return pages.post("/birds", form, who="ana").status


def test_a_medicine_stands_on_today_before_its_jobs_and_is_undone_by_one_tap(pages: Front) -> None:
    assert medicine(pages) == 303
    today = pages.get("/", who="kim").text
    assert today.index(RULE) < today.index('id="jobs"')
    assert "Collect the eggs: not to be eaten before Tue 29 Dec" in today
    assert "Wormer &lt;A&gt; on Mon 21 Dec" in pages.get("/birds", who="kim").text
    assert pages.post("/birds/end", {"number": "1", "do": "undo"}, who="kim").status == 303
    assert RULE not in pages.get("/", who="kim").text
    back = {"number": "1", "do": "again", "turn": "1"}
    assert pages.post("/birds/end", back, who="ana").headers["location"] == "/birds#report-1"
    assert RULE in pages.get("/", who="kim").text
    diary = pages.get("/diary.csv", who="ana").text.splitlines()
    told = (
        "report 1; Wormer <A>; every bird of the house; eggs 7 days; eggs free from 2026-12-29; "
        "meat 14 days"
    )
    assert diary[1].startswith("1,2026-12-21,medicine,walnut,,Ana,")
    assert f",2026-12-21,{told},Walnut," in diary[1]
    assert diary[2].startswith("2,2026-12-21,taken back,walnut,,Kim,")


def test_the_week_says_once_until_when_no_egg_is_eaten_and_that_it_is_over(pages: Front) -> None:
    assert medicine(pages, eggs="2") == 303
    week = pages.get("/week", who="kim").text
    assert week.count("<summary>Do not eat, give away or sell the eggs before Thu 24 Dec") == 1
    over = "By the label, eggs laid from today (Thu 24 Dec) on may be eaten again"
    assert week.count(f"<summary>{over}") == 1


def test_a_label_that_was_not_read_is_asked_about_and_read_on_the_page(pages: Front) -> None:
    assert medicine(pages, eggs="") == 303
    assert "until the vet or the label says so" in pages.get("/", who="kim").text
    page = pages.get("/birds", who="kim").text
    assert 'id="eggs-1"' in page
    assert '<label for="eggs-1">Egg withdrawal period in days, from the label' in page
    for eggs, status in (("soon", 422), ("7", 303)):
        form = {"number": "1", "do": "label", "eggs": eggs}
        assert pages.post("/birds/end", form, who="kim").status == status
    page = pages.get("/birds", who="kim").text
    assert RULE in page
    assert "Undo “what the label says”" in page
    assert 'id="eggs-1"' not in page


@pytest.mark.parametrize(
    ("form", "says", "button"),
    [
        ({"kind": "broody", "first": "2026-12-17"}, "Broody hen, day 5", "She is off the nest"),
        ({"kind": "broody", "first": ""}, "Broody hen, day 1", "She is off the nest"),
        (
            {"kind": "illness", "sign": "limping", "first": "2026-12-20"},
            "1 ill bird (limping or lame), day 2",
            "Her illness is over",
        ),
    ],
)
def test_a_bird_on_today_is_ended_by_one_tap_there_and_that_is_undone_by_one(
    pages: Front, form: dict[str, str], says: str, button: str
) -> None:
    assert pages.post("/birds", form, who="ana").status == 303
    today = pages.get("/", who="kim").text
    assert says in today
    assert f'<button class="quiet" name="do" value="over">{button}' in today
    pages.post("/birds/end", {"number": "1", "do": "over"}, who="kim")
    assert says not in pages.get("/", who="kim").text
    pages.post("/birds/end", {"number": "1", "do": "again", "turn": "1"}, who="kim")
    assert says in pages.get("/", who="kim").text


def test_a_sign_to_be_reported_stands_before_the_doors_on_its_first_day(pages: Front) -> None:
    form = {"kind": "illness", "sign": "blue-comb", "count": "2"}
    assert pages.post("/birds", form, who="ana").status == 303
    today = pages.get("/", who="kim").text
    assert today.index("Call your vet or the animal-health authority today") < today.index("Walnut")


def test_every_wrong_field_is_told_beside_it_at_once(pages: Front) -> None:
    wrong = {"last": "2026-12-01", "eggs": "-3", "meat": "900", "count": "0", "words": "\x07"}
    reply = pages.post("/birds", {"kind": "medicine", **wrong}, who="ana")
    assert reply.status == 422
    for field in wrong:
        assert f'id="wrong-medicine-{field}"' in reply.text, field
    assert pages.house.rows("SELECT * FROM report") == []


@pytest.fixture
def two_houses(tmp_path: Path) -> Iterator[Front]:
    """The pages of Walnut with 12 and Barn with 8, of two owners, a member and a sitter."""
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE.replace("[mail]", f"{ROLES}[mail]")
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        yield served


def came(pages: Front, what: str, who: str = "ana", **more: str) -> tuple[int, str]:
    """The status, and the page that is read then."""
    form = {"kind": "flock", "what": what, "count": "2"} | more
    reply = pages.post("/birds/came", form, who=who)
    if reply.status == 303:
        assert reply.headers["location"] == "/birds#came"
        return 303, pages.get("/birds", who=who).text
    return reply.status, reply.text


def undone(pages: Front, page: str, who: str = "ana") -> int:
    """What comes back when the first button of the list is pressed."""
    [entry, *_] = re.findall(r'name="entry" value="(\d+)"', page)
    return pages.post("/birds/came/undo", {"entry": entry}, who=who).status


def beside(page: str, field: str) -> str:
    """What is said beside that field of the form."""
    found = re.search(f'id="wrong-flock-{field}">(.*?)</p>', page)
    return re.sub("<.*?>", "", found[1]) if found else ""


def seen(page: str) -> dict[str, str]:
    """How much had been said when the page was made."""
    return dict(re.findall(r'name="(seen-[^"]+)" value="([^"]*)"', page))


def test_birds_that_come_or_go_are_counted_at_once_and_each_is_undone_in_place(
    pages: Front,
) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    page = pages.get("/birds", who="ana").text
    assert "Now at Walnut: 12 birds." in page
    assert 'value="moved-out"' not in page, "there is no other house"
    assert 'name="to"' not in page
    for what, said, left in (
        ("arrived", "2 arrived", 14),
        ("hatched", "2 hatched", 14),
        ("sold", "2 sold", 10),
        ("dead", "2 died", 10),
    ):
        status, page = came(pages, what)
        assert status == 303
        assert f"Now at Walnut: {left} birds." in page
        assert f"Walnut: {said}" in page
        assert f'name="expected" value="{left}"' in pages.get("/", who="kim").text
        assert undone(pages, page) == 303
        page = pages.get("/birds", who="ana").text
        assert "Now at Walnut: 12 birds." in page
        assert "Noted in the last two weeks" not in page


def test_birds_move_between_two_houses_and_back_by_one_undo(two_houses: Front) -> None:
    status, page = came(two_houses, "moved-out", coop="walnut", to="barn", count="3")
    assert status == 303
    assert "Now at Walnut: 9 birds." in page
    assert "Now at Barn: 11 birds." in page
    assert page.count('name="entry"') == 1
    assert undone(two_houses, page) == 303
    page = two_houses.get("/birds", who="ana").text
    assert "Now at Walnut: 12 birds." in page
    assert "Now at Barn: 8 birds." in page
    where = {"coop": "walnut", "to": "walnut"}
    status, page = came(two_houses, "moved-out", **where)
    assert (status, beside(page, "to")) == (
        422,
        "They already live there. Which house did they move to?",
    )
    assert '<option value="walnut" selected>' in page


def test_owners_and_members_say_who_came_or_went_and_nobody_else(two_houses: Front) -> None:
    for what in ("arrived", "hatched", "sold", "dead"):
        assert came(two_houses, what, who="ben", coop="barn", count="1")[0] == 303
        assert came(two_houses, what, who="jo", coop="barn", count="1")[0] == 403
    status, page = came(two_houses, "moved-out", who="ben", coop="barn", to="walnut", count="1")
    assert status == 303
    assert undone(two_houses, page, who="jo") == 403
    assert came(two_houses, "sold", who="", coop="barn")[0] in {401, 403}
    page = two_houses.get("/birds", who="ana").text
    assert "Now at Barn: 7 birds." in page
    assert "Now at Walnut: 13 birds." in page
    assert undone(two_houses, page, who="ben") == 303


@pytest.mark.parametrize(
    ("what", "count", "said"),
    [
        ("sold", "13", "Only 12 can leave Walnut."),
        ("dead", "13", "Only 12 are left in Walnut. How many do you mean?"),
        ("arrived", "501", "“501” cannot be used. Accepted: 1 to 500."),
    ],
)
def test_more_than_can_be_is_asked_about_beside_the_number_and_not_kept(
    pages: Front, what: str, count: str, said: str
) -> None:
    status, page = came(pages, what, count=count, day="2026-12-20")
    assert (status, beside(page, "count")) == (
        422,
        said.replace("“", "&#34;").replace("”", "&#34;"),
    )
    assert f'value="{what}" checked' in page
    assert f'value="{count}" aria-invalid' in page
    assert 'value="2026-12-20"' in page
    assert pages.house.rows("SELECT * FROM entry") == []


def test_everything_wrong_of_who_came_or_went_is_told_beside_it_at_once(two_houses: Front) -> None:
    ahead = (WINTER + timedelta(days=1)).isoformat()
    wrong = {"coop": "shed", "count": "0", "day": ahead}
    status, page = came(two_houses, "eaten", **wrong)
    assert status == 422
    assert beside(page, "coop") == "Choose the house."
    assert beside(page, "what") == "Choose what happened."
    assert "is not a number of birds" in beside(page, "count")
    assert "Accepted: today or a day before." in beside(page, "day")
    for day, said in (
        ("2026-01-05", "That is too long ago to note now. Which day do you mean?"),
        ("soon", "cannot be used."),
    ):
        assert said in beside(came(two_houses, "sold", coop="barn", day=day)[1], "day")
    page = came(two_houses, "moved-out", coop="barn", count="")[1]
    assert beside(page, "to") == "Choose the house they moved to."
    assert beside(page, "count").startswith("How many were there?")
    page = came(two_houses, "sold", coop="barn", to="walnut")[1]
    assert beside(page, "to").startswith("You chose a house they moved to, but not that they moved")
    assert two_houses.house.rows("SELECT * FROM entry") == []


def test_a_day_that_is_over_is_kept_for_that_day(pages: Front) -> None:
    for day in ("2026-12-20", "2026-12-11", "yesterday"):
        assert came(pages, "sold", count="1", day=day)[0] == 303
    page = pages.get("/birds", who="ana").text
    assert "Now at Walnut: 9 birds." in page
    assert page.count("Sun 20 Dec") == 2
    assert page.count("Fri 11 Dec") == 1


def test_a_second_tap_of_the_same_is_not_kept_and_something_said_since_is_told(
    pages: Front,
) -> None:
    before = seen(pages.get("/birds", who="ana").text)
    for _ in range(2):
        status, page = came(pages, "arrived", **before)
        assert status == 303
        assert "Now at Walnut: 14 birds." in page
    status, page = came(pages, "sold", who="kim", **before)
    assert status == 422
    assert "something else has been said of Walnut" in beside(page, "count")
    assert came(pages, "sold", who="kim", **seen(page))[0] == 303
    yesterday = {"day": "2026-12-20", **before}
    for _ in range(2):
        assert "Now at Walnut: 11 birds." in came(pages, "dead", count="1", **yesterday)[1]


def test_what_something_newer_was_said_after_is_undone_in_its_order(pages: Front) -> None:
    page = came(pages, "arrived")[1]
    newer = came(pages, "sold", count="1")[1]
    assert newer.count('name="entry"') == 1
    assert "Something newer was said of that evening." in newer
    entry = re.findall(r'name="entry" value="(\d+)"', page)[0]
    reply = pages.post("/birds/came/undo", {"entry": entry}, who="ana")
    assert reply.status == 422
    assert "because something newer was said. Take that back first." in reply.text
    for left in (newer, page):
        assert undone(pages, left) == 303
    assert "Now at Walnut: 12 birds." in pages.get("/birds", who="ana").text


def test_a_missing_bird_is_named_beside_the_others_and_the_first_that_died(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    shut = {"coop": "walnut", "turn": "0", "expected": "12", "count": "11", "do": "shut"}
    assert pages.post("/door", {**shut, "day": WINTER.isoformat()}, who="ana").status == 303
    assert "Now at Walnut: 12 birds, 1 missing." in pages.get("/birds", who="ana").text
    assert beside(came(pages, "sold", count="12")[1], "count") == "Only 11 can leave Walnut."
    status, page = came(pages, "dead", count="1")
    assert status == 303
    assert "Now at Walnut: 11 birds." in page
