"""The page Birds, and what Today says of them."""

import pytest

from tests.web.front import Front

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
