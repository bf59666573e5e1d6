"""What the profile holds is changed on pages: shown in words, kept, undone, refused, put back."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from html import unescape
from pathlib import Path
from urllib.parse import quote

import pytest

from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, household
from tests.unhurried import unhurried
from tests.web.front import Front, Reply, front
from tests.web.test_roles import ROLES

SECTIONS = ("birds", "house", "run", "people", "alerts", "jobs", "place", "weather", "server")
FOR_MEMBERS = {"birds", "jobs"}
SECRET_WORDS = ("care", "ladder", "basis", "delivery", "journal", "TOML")


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Front]:
    """The pages of two owners, a member and a sitter; the pages have taken the profile over."""
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE.replace("[mail]", f"{ROLES}[mail]")
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        assert served.post("/change/take-over", {}, who="ana").status == 303
        yield served


def text_of(pages: Front) -> str:
    return (pages.house.data / "duskfold.toml").read_text()


def profile_of(pages: Front) -> dict[str, object]:
    return tomllib.loads(text_of(pages))


def tables(pages: Front, kind: str) -> list[dict[str, object]]:
    """The things of that kind, as the text has them."""
    found = profile_of(pages)[kind]
    assert isinstance(found, list)
    return found


def base_of(pages: Front, who: str = "ana", section: str = "birds") -> str:
    page = pages.get(f"/change/{section}", who=who).text
    found = re.search(r'name="base" value="(\w+)"', page)
    assert found, page
    return found[1]


def send(  # noqa: PLR0913 - a form of a card
    pages: Front,
    card: str,
    typed: Mapping[str, str | list[str]],
    *,
    section: str,
    do: str = "keep",
    who: str = "ana",
    base: str = "",
    **more: str,
) -> Reply:
    """The form of that card, with what is typed into it."""
    known = {"base": base or base_of(pages, who, section), "card": card, "do": do, **more}
    return pages.post(f"/change/{section}", {**known, **typed}, who=who)


def said_in(reply: Reply) -> str:
    main = reply.text.partition("<main")[2]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", main)).split())


@unhurried
def test_each_section_shows_what_the_profile_holds_to_whoever_may_change_it(
    shared: Front,
) -> None:
    for section in SECTIONS:
        page = shared.get(f"/change/{section}", who="ana")
        assert page.status == 200
        assert 'name="card"' in page.text
        assert not [word for word in SECRET_WORDS if f" {word} " in said_in(page)]
        assert shared.get(f"/change/{section}", who="jo").status == 403
        member = shared.get(f"/change/{section}", who="ben")
        assert member.status == (200 if section in FOR_MEMBERS else 403)
        assert (f'href="/change/{section}"' in shared.get("/change", who="ben").text) == (
            section in FOR_MEMBERS
        )


def test_a_change_is_said_first_then_kept_then_undone(shared: Front) -> None:
    before = text_of(shared)
    typed = {"coop/walnut/floor": "1.6 m x 2.2 m"}
    first = send(shared, "coop/walnut", typed, section="house", do="look")
    # A keeper in the UK reads feet, and the profile keeps what was written.
    assert "Walnut, floor inside: 5 ft 3 in × 7 ft 2.6 in (was not known)" in said_in(first)
    assert text_of(shared) == before
    kept = send(shared, "coop/walnut", typed, section="house")
    assert kept.status == 303
    assert 'floor = "1.6 m x 2.2 m"' in text_of(shared)
    page = shared.get(kept.headers["location"].partition("#")[0], who="ana")
    undo = dict(re.findall(r'name="(base|number|section)" value="(\w+)"', page.text))
    assert "It is kept." in said_in(page)
    assert shared.post("/change/put-back", undo, who="ana").status == 303
    assert text_of(shared) == before


KINDS_OF_INPUT: list[tuple[str, str, Mapping[str, str | list[str]], str, object]] = [
    # section, card, what is typed, where the profile has it, what it has
    ("house", "coop/walnut", {"coop/walnut/type": "ark"}, "coop.0.type", "ark"),
    ("house", "coop/walnut/nests", {"coop/walnut/nests/count": "3"}, "coop.0.nests.count", 3),
    ("alerts", "reminders", {"reminders/bedtime": "22:15"}, "reminders.bedtime", "22:15"),
    ("alerts", "reminders", {"reminders/heads_up": "45"}, "reminders.heads_up", "45 min"),
    ("alerts", "lockup", {"lockup/cap": ["22:30", "none"]}, "lockup.cap", "none"),
    ("alerts", "lockup", {"lockup/not_after": ["21:00", "none"]}, "lockup.not_after", "21:00"),
    ("alerts", "duty", {"duty/friday": "kim"}, "duty.friday", "kim"),
    ("jobs", "rounds", {"rounds/keen": "yes"}, "rounds.keen", True),
    ("jobs", "cares/water", {"cares/water/on": "no"}, "cares.water.on", False),
    ("place", "site", {"site/latitude": "51.6"}, "site.latitude", 51.6),
    ("place", "units", {"units": "us"}, "units", "us"),
    ("weather", "forecast", {"forecast/sources": ["", "met-norway"],
                             "forecast/contact": "ana@example.org"},
     "forecast.sources", ["met-norway"]),
    ("birds", "flock/girls", {"flock/girls/hatched": "2026-04-01"}, "flock.0.hatched",
     date(2026, 4, 1)),
    ("server", "web", {"web/base_url": "https://hens.test"}, "web.base_url",
     "https://hens.test"),
]  # fmt: skip


@unhurried
def test_each_kind_of_input_is_kept_as_the_profile_has_it(shared: Front) -> None:
    for section, card, typed, where, value in KINDS_OF_INPUT:
        reply = send(shared, card, typed, section=section)
        assert reply.status == 303, said_in(reply)
        found: object = profile_of(shared)
        for part in where.split("."):
            found = found[int(part)] if isinstance(found, list) else found[part]  # type: ignore[index]
        assert found == value


def test_what_cannot_be_used_is_said_beside_the_input_with_what_was_typed(shared: Front) -> None:
    before = text_of(shared)
    typed = {"coop/walnut/floor": "large", "coop/walnut/height": "2"}
    reply = send(shared, "coop/walnut", typed, section="house", do="look")
    assert reply.status == 422
    beside = re.search(r'id="wrong-coop/walnut/floor">([^<]*)<', reply.text)
    assert beside
    assert "large" in unescape(beside[1])
    assert 'value="large"' in reply.text
    assert 'value="2"' in reply.text
    # What only the whole profile can judge is said there, too.
    sitter = {"person/jo/last_day": "2026-12-01"}
    reply = send(shared, "person/jo", sitter, section="people", do="look")
    assert 'id="wrong-person/jo/last_day"' in reply.text
    assert text_of(shared) == before


def test_who_is_overtaken_reads_what_the_other_did_and_keeps_what_was_typed(shared: Front) -> None:
    base = base_of(shared)
    assert send(shared, "flock/girls", {"flock/girls/hens": "11"}, section="birds", who="kim",
                base=base).status == 303  # fmt: skip
    typed = {"flock/girls/hens": "12", "flock/girls/kind": "heavy"}
    reply = send(shared, "flock/girls", typed, section="birds", base=base)
    assert reply.status == 409
    assert "Kim has changed something since you opened this page" in said_in(reply)
    assert "hens: 11 (was 12)" in said_in(reply)
    assert re.search(r'value="heavy" selected', reply.text)
    # An input that was not touched has the other's value, so nothing of it is lost.
    assert re.search(r'id="flock/girls/hens"[^>]*value="11"', reply.text)
    again = re.search(r'name="base" value="(\w+)"', reply.text)
    assert again
    kept = send(shared, "flock/girls", {"flock/girls/kind": "heavy"}, section="birds",
                base=again[1])  # fmt: skip
    assert kept.status == 303
    assert (tables(shared, "flock")[0]["hens"], "heavy") == (11, "heavy")


@unhurried
def test_a_house_is_added_gets_birds_and_ends_with_what_is_in_it(shared: Front) -> None:
    new = {
        "coop/+/name": "Elm",
        "coop/+/type": "ark",
        "flock/+/name": "Pearls",
        "flock/+/hens": "3",
    }
    nobody = send(shared, "coop/+", {"coop/+/name": "Elm"}, section="house", do="look")
    assert 'id="wrong-flock/+/name"' in nobody.text
    added = send(shared, "coop/+", new, section="house")
    assert added.status == 303, said_in(added)
    assert tables(shared, "coop")[2] == {"name": "Elm", "type": "ark", "id": "elm"}
    assert tables(shared, "flock")[2] == {
        "name": "Pearls", "hens": 3, "id": "pearls", "coop": "elm",
    }  # fmt: skip
    asked = send(shared, "coop/elm", {}, section="house", do="look", ends="1")
    assert "Taken away: Elm" in said_in(asked)
    assert "These birds live there and end with it: Pearls." in said_in(asked)
    assert send(shared, "coop/elm", {}, section="house", ends="1").status == 303
    assert [one["name"] for one in tables(shared, "flock")] == ["Girls", "Others"]


@unhurried
def test_a_house_whose_last_birds_move_ends(shared: Front) -> None:
    moved = {"flock/girls/coop": "barn"}
    asked = send(shared, "flock/girls", moved, section="birds", do="look")
    assert "No birds live in Walnut then, so it ends with this." in said_in(asked)
    # That is an owner's to say: a member cannot end a house.
    refused = send(shared, "flock/girls", moved, section="birds", who="ben")
    assert "Only an owner can change anything else here." in said_in(refused)
    into = {"coop/+/name": "Elm", "flock/+": "girls"}
    assert send(shared, "coop/+", into, section="house").status == 303
    assert [one["name"] for one in tables(shared, "coop")] == ["Barn", "Elm"]
    assert tables(shared, "flock")[0]["coop"] == "elm"


@unhurried
def test_a_drinker_is_added_and_taken_away(shared: Front) -> None:
    typed = {"coop/walnut/drinker/0/type": "nipple", "coop/walnut/drinker/0/nipples": "4"}
    reply = send(shared, "coop/walnut/drinker/+", typed, section="house")
    assert reply.status == 303, said_in(reply)
    assert tables(shared, "coop")[0]["drinker"] == [{"type": "nipple", "nipples": 4}]
    send(shared, "coop/walnut/drinker/0", {}, section="house", ends="1")
    assert "drinker" not in tables(shared, "coop")[0]


@unhurried
def test_somebody_is_added_and_removed_and_the_last_way_to_anybody_is_not(shared: Front) -> None:
    typed = {"person/+/name": "Mo", "person/+/role": "member", "person/+/mail": "mo@example.org"}
    kept = send(shared, "person/+", typed, section="people")
    assert kept.status == 303
    assert 'href="/people"' in shared.get(kept.headers["location"], who="ana").text
    asked = send(shared, "person/mo", {}, section="people", do="look", ends="1")
    assert "their devices are signed out" in said_in(asked)
    assert send(shared, "person/mo", {}, section="people", ends="1").status == 303
    for who in ("kim", "ben", "jo"):
        assert send(shared, f"person/{who}", {}, section="people", ends="1").status == 303
    reply = send(shared, "person/ana", {"person/ana/push": ""}, section="people")
    assert reply.status == 422
    assert "Nobody could be told about an open door any more." in said_in(reply)


def test_a_telephone_number_is_changed_and_stands_in_no_diary(shared: Front) -> None:
    number = "+44 (0)20 7946 0222"  # Ofcom keeps 020 7946 0000 to 0999 for plays and films
    wrong = send(shared, "person/kim", {"person/kim/telephone": "soon"}, section="people")
    assert wrong.status == 422
    assert "a telephone number such as" in beside(wrong, "person/kim/telephone")
    assert 'value="soon"' in wrong.text
    typed = {"person/kim/telephone": number}
    assert send(shared, "person/kim", typed, section="people").status == 303
    assert tables(shared, "person")[1]["telephone"] == number
    edited = send(shared, "person/kim", {}, section="people", do="edit")
    assert f'value="{number}"' in unescape(edited.text)
    for path in ("/diary", "/diary.csv", "/diary.json"):
        told = shared.get(path, who="ana").text
        assert "elephone number" in told
        assert "7946" not in told


@unhurried
def test_own_jobs_come_once_or_again_and_jobs_go_back_to_usual(shared: Front) -> None:
    typed = {"care/+/name": "Oil the hinge", "care/+/on": "2026-12-24", "care/+/minutes": "10"}
    assert send(shared, "care/+", typed, section="jobs").status == 303
    weekly = {"care/+/name": "Sweep", "care/+/every": "7", "care/+/from": "2026-12-22",
              "care/+/until": "2027-02-01"}  # fmt: skip
    assert send(shared, "care/+", weekly, section="jobs").status == 303
    assert 'every = "7 days"' in text_of(shared)
    neither = send(shared, "care/+", {"care/+/name": "Nothing"}, section="jobs", do="look")
    assert 'id="wrong-care/+/every"' in neither.text
    assert send(shared, "care/sweep", {}, section="jobs", ends="1").status == 303
    send(shared, "cares/water", {"cares/water/every": "2"}, section="jobs")
    page = shared.get("/change/jobs/water", who="ben")
    assert 'value="2 days"' in page.text
    assert "Back to usual" in page.text
    assert send(shared, "cares/water", {}, section="jobs", who="ben", ends="1").status == 303
    assert "cares" not in profile_of(shared)
    assert "Oil the hinge" in shared.get("/change/jobs-by-day", who="ben").text


@unhurried
def test_a_move_says_what_holds_until_then_and_the_next_one_begins_at_the_new_place(
    shared: Front,
) -> None:
    typed = {"move/on": "2027-01-10", "move/latitude": "57.1", "move/longitude": "-2.1"}
    asked = send(shared, "move", typed, section="place", do="look")
    assert "On Sunday 10 January it would be" in said_in(asked)
    assert "Up to the evening before Sunday 10 January the times here count" in said_in(asked)
    assert send(shared, "move", typed, section="place").status == 303
    shared.house.set_clock(shared.house.local("12:00", date(2027, 3, 1)))
    assert "We are moving again" in said_in(shared.get("/change/place", who="ana"))
    again = {"move/on": "2027-05-01", "move/latitude": "50.9", "move/longitude": "-1.4"}
    assert send(shared, "move/+", again, section="place").status == 303
    site = profile_of(shared)["site"]
    assert isinstance(site, dict)
    assert (site["latitude"], site["name"]) == (57.1, "Orchard")
    assert "on = 2027-05-01" in text_of(shared)


def offered(reply: Reply, card: str = "move") -> dict[str, str]:
    """The places to choose from: what chooses each, by what it is called."""
    radio = rf'type="radio" name="{card}/choice" value="([-\d.,]+)"[^>]*> <bdi>(.*?)</bdi>'
    return {unescape(name): value for value, name in re.findall(radio, reply.text)}


def beside(reply: Reply, name: str) -> str:
    """What is said beside that input."""
    found = re.search(rf'id="wrong-{name}">([^<]*)<', reply.text)
    return unescape(found[1]) if found else ""


def test_a_move_is_told_by_the_name_of_the_place_and_shown_back(shared: Front) -> None:
    before = text_of(shared)
    assert "GeoNames" in shared.get("/change/place", who="ana").text
    typed = {"move/on": "2027-03-01", "move/typed": "Lewes", "move/choice": ""}
    several = send(shared, "move", typed, section="place", do="look")
    assert (several.status, beside(several, "move/choice")) == (422, "Choose one.")
    assert 'value="Lewes"' in several.text
    typed["move/choice"] = offered(several)["Lewes, England, United Kingdom"]
    asked = send(shared, "move", typed, section="place", do="look")
    sentence = "Near Lewes, England, United Kingdom. Dusk on 1 March is "
    assert re.search(sentence + r"18:1\d\.", said_in(asked)), said_in(asked)
    assert text_of(shared) == before
    back = send(shared, "move", typed, section="place", do="edit")
    assert f'value="{typed["move/choice"]}" checked' in back.text
    assert send(shared, "move", typed, section="place").status == 303
    assert profile_of(shared)["move"] == {
        "on": date(2027, 3, 1), "latitude": 50.874, "longitude": 0.009,
        "timezone": "Europe/London",
    }  # fmt: skip
    assert "So far it is near Lewes." in said_in(shared.get("/change/place", who="ana"))


def test_a_choice_made_for_another_name_does_not_count(shared: Front) -> None:
    typed = {"move/on": "2027-03-01", "move/typed": "Lewes"}
    chosen = [*offered(send(shared, "move", typed, section="place", do="look")).values()][1]
    other = {**typed, "move/typed": "Newport", "move/choice": chosen}
    asked = send(shared, "move", other, section="place", do="look")
    assert asked.status == 422
    # Two in the same part of a country are told apart by where they are.
    assert len(offered(asked)) == 8


def test_a_slip_in_a_place_offers_the_nearest_names_and_keeps_what_was_typed(
    shared: Front,
) -> None:
    typed = {"move/on": "2027-03-01", "move/typed": "Stranrear"}
    slip = send(shared, "move", typed, section="place", do="look")
    assert "Did you mean one of these?" in beside(slip, "move/typed")
    assert 'value="Stranrear"' in slip.text
    typed["move/choice"] = offered(slip)["Stranraer, Scotland, United Kingdom"]
    asked = send(shared, "move", typed, section="place", do="look")
    assert "Near Stranraer, Scotland, United Kingdom." in said_in(asked)


WRONG_PLACES: list[tuple[dict[str, str], dict[str, str]]] = [
    # what is typed, what is said beside which input
    ({"on": "soon", "typed": "Qqqq"}, {"typed": "No place called Qqqq", "on": "soon"}),
    ({"on": "", "typed": "50.87, 0.01"}, {"on": "date"}),
    ({"on": "2027-03-01", "typed": "", "latitude": "", "longitude": ""},
     {"typed": "Write the name of a place"}),
    ({"on": "2027-03-01", "typed": "51,5"}, {"typed": "Write decimals with a point"}),
    ({"on": "2027-03-01", "typed": "-75, 0"}, {"typed": "75"}),
    ({"on": "2027-03-01", "typed": "Lewes", "latitude": "50.9"}, {"typed": "not both"}),
]  # fmt: skip


def test_what_is_wrong_with_a_place_or_its_day_is_said_at_once(shared: Front) -> None:
    before, base = text_of(shared), base_of(shared)
    for fields, wrong in WRONG_PLACES:
        typed = {f"move/{key}": text for key, text in fields.items()}
        reply = send(shared, "move", typed, section="place", do="look", base=base)
        assert reply.status == 422, fields
        for key, said in wrong.items():
            assert said in beside(reply, f"move/{key}"), (fields, said_in(reply))
        for text in filter(None, fields.values()):
            assert f'value="{text}"' in reply.text
    assert text_of(shared) == before


def test_coordinates_are_a_place_on_one_line_too(shared: Front) -> None:
    typed = {"move/on": "2027-03-01", "move/typed": "41.0, 29.0", "move/latitude": ""}
    asked = send(shared, "move", typed, section="place", do="look")
    assert re.search(r"Near .*, T.*\. Dusk on 1 March is ", said_in(asked)), said_in(asked)
    assert send(shared, "move", typed, section="place").status == 303
    assert 'timezone = "Europe/Istanbul"' in text_of(shared)


def test_who_is_overtaken_keeps_the_name_of_the_place_that_was_typed(shared: Front) -> None:
    base = base_of(shared)
    send(shared, "reminders", {"reminders/bedtime": "21:30"}, section="alerts", who="kim")
    typed = {"move/on": "2027-03-01", "move/typed": "Lewes"}
    reply = send(shared, "move", typed, section="place", do="look", base=base)
    assert reply.status == 409
    assert 'value="Lewes"' in reply.text


def test_the_own_place_is_corrected_by_its_name_and_loses_the_height_of_the_other(
    shared: Front,
) -> None:
    send(shared, "site", {"site/elevation": "20 m"}, section="place")
    assert "elevation" in text_of(shared)
    typed = {"site/typed": "Stranraer"}
    asked = send(shared, "site", typed, section="place", do="look")
    assert "Near Stranraer, Scotland, United Kingdom. Dusk tonight is 16:" in said_in(asked)
    assert send(shared, "site", typed, section="place").status == 303
    site = profile_of(shared)["site"]
    assert isinstance(site, dict)
    assert (round(site["latitude"], 1), site["timezone"]) == (54.9, "Europe/London")
    assert (site["name"], "elevation" in site) == ("Orchard", False)


@unhurried
def test_alerts_show_tonight_as_it_would_be(shared: Front) -> None:
    assert "15:48 first message to Ana" in said_in(shared.get("/change/alerts", who="ana"))
    asked = send(shared, "reminders", {"reminders/heads_up": "60"}, section="alerts", do="look")
    assert "Tonight it would be" in said_in(asked)
    assert "15:18 first message to Ana" in said_in(asked)


def test_changes_so_far_are_told_and_put_back_after_a_question(shared: Front) -> None:
    before = text_of(shared)
    send(shared, "reminders", {"reminders/bedtime": "21:30"}, section="alerts", who="kim")
    page = shared.get("/change/versions", who="ben")
    assert "Kim" in said_in(page)
    assert "Bedtime: 21:30 (was 23:00)" in said_in(page)
    [number] = re.findall(r"/change/put-back\?number=(\d+)", page.text)
    asked = shared.get(f"/change/put-back?number={number}", who="ana")
    assert "Bedtime: 23:00 (was 21:30)" in said_in(asked)
    assert "must sign in again" in said_in(asked)
    sent = dict(re.findall(r'name="(base|number)" value="(\w+)"', asked.text))
    # What a member may not change is not theirs to put back.
    assert shared.post("/change/put-back", sent, who="ben").status == 422
    assert shared.post("/change/put-back", sent, who="ana").status == 303
    assert text_of(shared) == before


def test_a_member_changes_birds_and_jobs_and_nothing_else(shared: Front) -> None:
    assert send(shared, "flock/girls", {"flock/girls/kind": "light"}, section="birds",
                who="ben").status == 303  # fmt: skip
    base = base_of(shared)
    for section, card in (
        ("alerts", "reminders"),
        ("people", "person/ana"),
        ("house", "coop/barn"),
    ):
        assert send(shared, card, {}, section=section, who="ben", base=base).status == 403
    # A card of another section cannot be reached through the own one.
    typed = {"reminders/bedtime": "20:00"}
    assert send(shared, "reminders", typed, section="birds", who="ben", base=base).status == 409
    assert "20:00" not in text_of(shared)


def test_a_form_from_elsewhere_changes_nothing(shared: Front) -> None:
    before, base = text_of(shared), base_of(shared)
    form = {"base": base, "card": "flock/girls", "do": "keep", "flock/girls/hens": "1"}
    reply = shared.post("/change/birds", form, who="ana", Sec_Fetch_Site="cross-site")
    assert reply.status == 403
    assert text_of(shared) == before


@unhurried
def test_what_cannot_be_is_no_page(shared: Front) -> None:
    assert shared.get("/change/nothing", who="ana").status == 404
    assert shared.get("/change/jobs/nothing", who="ana").status == 404
    assert send(shared, "coop/gone", {}, section="house").status == 409
    assert shared.get(f"/change/house?open={quote('<script>')}", who="ana").status == 200


@unhurried
def test_a_profile_elsewhere_is_read_only_until_it_is_taken_over(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, published=False) as pages:
        page = pages.get("/change/house", who="ana")
        assert "here it can only be read" in said_in(page)
        assert '<fieldset class="all" disabled>' in page.text
        assert 'value="keep"' not in page.text
        reply = pages.post("/change/house", {"base": "x", "card": "coop/walnut"}, who="ana")
        assert reply.status == 409
        assert "file of its own" in said_in(reply)
        own = pages.get("/change", who="ana").text
        notice, _, folded = own.partition('class="notice"')[2].partition("<details>")
        assert str(house.profile_path) not in notice, "nobody reads a path on a phone"
        assert str(house.profile_path) in folded.partition("</details>")[0]
        assert "An owner can" not in notice, "she is one, and has the button"
        assert "not read any more" in said_in(pages.get("/change/take-over", who="ana"))
        assert pages.post("/change/take-over", {}, who="ana").status == 303
        assert "only be read" not in said_in(pages.get("/change/house", who="ana"))


def test_whoever_may_not_take_a_profile_over_reads_who_can(tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE.replace("[mail]", f"{ROLES}[mail]")
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        page = pages.get("/change", who="ben")
        assert "here it can only be read. An owner can let these pages change it." in said_in(page)
        assert str(house.profile_path) not in page.text
        assert "/change/take-over" not in page.text


def test_a_mistake_by_hand_is_shown_by_its_line_and_can_be_dropped(shared: Front) -> None:
    good = text_of(shared)
    send(shared, "flock/girls", {"flock/girls/kind": "light"}, section="birds")
    file = shared.house.data / "duskfold.toml"
    bad = text_of(shared).replace("hens = 12", 'hens = "many"')
    file.write_text(bad)
    line = bad.splitlines().index('hens = "many"') + 1
    page = shared.get("/change/birds?open=", who="ana")
    assert f"Line {line}: " in said_in(page)
    assert "What was in force before still is." in said_in(page)
    drop = dict(re.findall(r'name="(base|number)" value="(\w+)"', page.text))
    assert shared.post("/change/put-back", drop, who="ana").status == 303
    assert text_of(shared) == bad.replace('hens = "many"', "hens = 12")
    assert text_of(shared) != good


@pytest.mark.parametrize(("answer", "sources"), [("yes", ["met-norway"]), ("no", [])])
def test_the_forecast_is_answered_by_one_tap_and_asked_no_more(
    shared: Front, answer: str, sources: list[str]
) -> None:
    page = shared.get("/weather", who="ana").text
    found = re.search(r'name="base" value="(\w+)"', page)
    assert found
    sent = {"base": found[1], "answer": answer}
    assert shared.post("/weather/forecast", sent, who="ben").status == 403
    assert "forecast" not in profile_of(shared)
    assert shared.post("/weather/forecast", sent, who="ana").status == 303
    assert profile_of(shared)["forecast"] == {"sources": sources}
    assert "/weather/forecast" not in shared.get("/weather", who="ana").text
    assert shared.get("/change/weather", who="ana").status == 200


def test_going_back_says_to_which_change_and_nothing_where_nothing_differs(shared: Front) -> None:
    before = text_of(shared)
    send(shared, "flock/girls", {"flock/girls/kind": "heavy"}, section="birds")
    again = {"number": "3", "base": base_of(shared)}
    assert "after the change of" in shared.get("/change/put-back?number=1", who="ana").text
    assert shared.post("/change/put-back", {**again, "number": "1"}, who="ana").status == 303
    assert text_of(shared) == before
    same = shared.get("/change/put-back?number=1", who="ana")
    assert "nothing to put back" in said_in(same)


def test_no_two_houses_or_people_are_called_alike(shared: Front) -> None:
    before = text_of(shared)
    for card, typed, section in (
        ("coop/walnut", {"coop/walnut/name": " barn "}, "house"),
        ("person/kim", {"person/kim/name": "ANA"}, "people"),
    ):
        reply = send(shared, card, typed, section=section)
        assert reply.status == 422
        assert "is the name of another one already" in said_in(reply)
        assert "autofocus" in reply.text
    assert text_of(shared) == before


def test_a_move_is_to_come(shared: Front) -> None:
    typed = {"move/on": "2020-01-01", "move/latitude": "52.5", "move/longitude": "13.4"}
    reply = send(shared, "move", typed, section="place", do="preview")
    assert reply.status == 422
    assert "Give a day that is still to come" in said_in(reply)


def test_every_page_of_changes_is_there_where_no_reminders_have_ever_run(pages: Front) -> None:
    paths = ("/change", "/change/versions", "/change/jobs-by-day", "/change/jobs/water")
    for path in (*paths, *(f"/change/{section}" for section in SECTIONS)):
        assert pages.get(path, who="ana").status == 200, path
