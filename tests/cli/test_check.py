"""`duskfold check` on shipped and own profiles: verdicts, capacity, shopping, notes, status."""

import json
from pathlib import Path

import pytest
from freezegun import freeze_time
from typer.testing import CliRunner, Result

from scheduler.cli import running
from scheduler.cli.app import app
from tests.unhurried import unhurried

assert running.__name__  # imported before a test stops the clock, or pydantic reads a false date
ROOT = Path(__file__).parents[2]
PLACE = '[site]\nname = "A"\nlatitude = {lat}\nlongitude = {lon}\ntimezone = "{zone}"\n'
LONDON = PLACE.format(lat=51.5, lon=-0.1, zone="Europe/London")
HOUSE = '[[coop]]\nname = "C"\n{coop}\n[[flock]]\nname = "F"\nhens = 6\n'


@pytest.fixture(autouse=True)
def _nothing_of_the_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "400")  # what is said, not where it is broken
    monkeypatch.setenv("DUSKFOLD_DATA", str(tmp_path / "data"))


def check(text: str, *options: str) -> Result:
    Path("p.toml").write_text(text, encoding="utf-8")
    with freeze_time("2026-12-21T10:00:00Z"):
        return CliRunner().invoke(app, ["check", "-p", "p.toml", *options])


def facts(text: str, *options: str) -> dict[str, dict[str, object]]:
    found = json.loads(check(text, "--json", *options).output)
    return {criterion["key"]: criterion for criterion in found["criteria"]}


def test_nothing_short_is_status_0_and_unknown_sizes_say_what_to_measure() -> None:
    result = check(LONDON + HOUSE.format(coop=""))
    assert result.exit_code == 0
    assert "unknown: measure the floor inside" in result.output
    assert "more than enough" in result.output  # company: six hens


def test_a_short_floor_is_status_1_with_what_is_there_and_needed() -> None:
    text = LONDON + HOUSE.format(coop='floor = "1 m²"')
    result = check(text)
    assert result.exit_code == 1
    floor = facts(text)["floor"]
    assert floor["verdict"] == "short"
    # 3 sq ft a bird, common practice, no source.
    assert floor["need"] == pytest.approx(6 * 3 * 0.09290304)
    assert floor["have"] == 1.0
    assert floor["margin"] == pytest.approx(1 / (6 * 3 * 0.09290304) - 1, abs=0.001)


def test_the_eu_figures_say_how_far_they_bind() -> None:
    text = LONDON + HOUSE.format(coop='floor = "1 m²"')
    eu = facts(text, "--rules", "eu")
    # Council Directive 1999/74/EC, Art. 4: at most nine hens a square metre.
    assert eu["floor"]["need"] == pytest.approx(6 / 9)
    assert eu["floor"]["verdict"] in {"meets the minimum", "comfortable"}
    assert eu["reach"]["note"] == "Not by law, but good practice for a small flock."
    assert check(text, "--rules", "eux").exit_code == 2
    both = check(text.replace("hens = ", "hans = "), "--rules", "eux").output
    assert 'found "eux"' in both
    assert "hans" in both


def test_capacity_names_what_binds_first_and_shopping_what_to_buy() -> None:
    coop = 'floor = "3 m²"\n[coop.perches]\nlength = "1 m"\n[coop.bedding]\ndepth = "4 cm"'
    found = json.loads(check(LONDON + HOUSE.format(coop=coop), "--json").output)
    assert found["capacity"] == [{"coop": "c", "birds": 4, "binding": "perch length"}]
    shopping = {purchase["what"]: purchase for purchase in found["shopping"]}
    assert shopping["bedding for the floor"]["amount"] == 180.0
    assert shopping["bedding for the floor"]["note"] == "0.8 of a bale"
    assert shopping["perch to add"]["amount"] == pytest.approx(6 * 9 * 0.025 - 1, abs=0.001)


@pytest.mark.parametrize(
    ("place", "noted"),
    [
        (PLACE.format(lat=43.1, lon=147, zone="Australia/Hobart"), "The map shows"),
        (
            PLACE.format(lat=52, lon=-1.5, zone="Europe/Helsinki"),
            "the time zone Europe/London here",
        ),
        (LONDON, ""),
    ],
)
def test_a_slip_in_sign_or_zone_is_noted(place: str, noted: str) -> None:
    output = check(place + HOUSE.format(coop="")).output
    assert noted in output
    assert ("The map shows" in output) == bool(noted)


def test_a_rule_that_shuts_after_dusk_is_noted() -> None:
    late = '[lockup]\nbasis = "sunset"\nafter_sunset = "120 min"\n'
    assert "lock-up comes after civil dusk" in check(LONDON + late + HOUSE.format(coop="")).output
    assert "comes after civil dusk" not in check(LONDON + HOUSE.format(coop="")).output


def test_birds_that_wait_long_without_feed_and_water_are_noted() -> None:
    early = '[letout]\nnot_before = "09:00"\n'
    output = check(LONDON + early + HOUSE.format(coop="")).output
    assert "they have been awake for" in output
    assert "That is too long." in output
    inside = "[[coop.drinker]]\ninside = true\n[[coop.feeder]]\ninside = true"
    assert "awake" not in check(LONDON + early + HOUSE.format(coop=inside)).output


def test_people_who_are_hard_to_reach_are_noted() -> None:
    person = '[[person]]\nname = "Ana"\n'
    assert "Nobody can reach Ana" in check(LONDON + HOUSE.format(coop="") + person).output
    mail = person + 'mail = "ana@example.org"\n'
    without = check(LONDON + HOUSE.format(coop="") + mail).output
    assert "Nobody can reach Ana. Name the server that sends the mail ([mail])" in without
    mail += '[mail]\nhost = "mail.example.net"\nfrom = "hens@example.net"\n'
    assert "can be reached only by mail" in check(LONDON + HOUSE.format(coop="") + mail).output
    sitter = f'{person}[[person]]\nname = "Kim"\nrole = "sitter"\nlast_day = 2027-08-14\n'
    only = check(LONDON + HOUSE.format(coop="") + sitter + mail.removeprefix(person)).output
    assert "Only a sitter can be told" in only


def test_young_birds_that_have_grown_up_are_noted() -> None:
    flock = '[[flock]]\nname = "G"\nyoung = 4\nhatched = 2026-06-01\n'
    text = LONDON + '[[coop]]\nname = "C"\n' + flock
    assert "G are 29 weeks old. Count them as hens" in check(text).output


def test_the_cautions_stand_under_the_advice() -> None:
    output = check(LONDON + HOUSE.format(coop="")).output
    assert "local rules" in output
    assert "electrician" in output


@pytest.mark.parametrize("profile", sorted((ROOT / "config").glob("*.toml")), ids=lambda p: p.stem)
@pytest.mark.parametrize("rules", ["backyard", "eu"])
@unhurried
def test_every_shipped_profile_is_checked(profile: Path, rules: str) -> None:
    result = check(profile.read_text(encoding="utf-8"), "--rules", rules, "--json")
    assert result.exit_code in {0, 1}
    found = json.loads(result.output)
    assert found["usable"]
    short = any(criterion["verdict"] == "short" for criterion in found["criteria"])
    assert result.exit_code == int(short)


def test_a_mail_server_without_its_password_is_noted(monkeypatch: pytest.MonkeyPatch) -> None:
    mail = (
        '[[person]]\nname = "Kim"\nmail = "kim@example.org"\n'
        '[mail]\nhost = "mail.example.net"\nuser = "hens"\nfrom = "hens@example.net"\n'
    )
    text = LONDON + HOUSE.format(coop="") + mail
    output = check(text).output
    assert (
        "Note: The secret mail-password is missing: set DUSKFOLD_MAIL_PASSWORD or "
        "DUSKFOLD_MAIL_PASSWORD_FILE, where the reminders run. A systemd credential works too. "
        "Until it is there, nothing goes out by mail."
    ) in output
    assert "Note: Kim cannot be told in any other way." in output
    monkeypatch.setenv("DUSKFOLD_MAIL_PASSWORD_FILE", "/nowhere/password")
    assert (
        "Note: DUSKFOLD_MAIL_PASSWORD_FILE: /nowhere/password: No such file or directory. The "
        "reminders keep looking at that file. Until it is there, nothing"
    ) in check(text).output
    monkeypatch.setenv("DUSKFOLD_MAIL_PASSWORD", "x")
    assert "mail-password" not in check(text).output


def test_a_profile_without_people_says_that_what_runs_does_not_follow_it() -> None:
    told = " ".join(check(LONDON + HOUSE.format(coop="")).output.split())
    assert "People nobody yet, so reminders already running keep to the old profile" in told
    assert "Locks up" not in told
    assert "get there" not in told


def test_whose_days_are_whose_stands_below_the_people_and_a_way_below_its_house() -> None:
    people = (
        '[[person]]\nname = "Ana"\n[[person]]\nname = "Ben"\n'
        '[duty]\nsunday = "ben"\nfriday = "Ana"\nmonday = "Ben"\n'
    )
    told = check(LONDON + HOUSE.format(coop="getting_there = 14\n") + people).output
    assert "Locks up Ben on Monday and Sunday Ana on Friday" in " ".join(told.split())
    assert "14 min to get there, counted in the first reminder" in told


@unhurried
def test_each_whose_day_it_is_and_whom_only_mail_reaches_is_named() -> None:
    people = (
        '[[person]]\nname = "Ana"\npush = "https://push.example.org/ana-x8c1f9e2b7"\n'
        '[[person]]\nname = "Ben"\nmail = "ben@example.org"\n'
        '[mail]\nhost = "mail.example.org"\nfrom = "coop@example.org"\n'
    )
    note = "Ben can be reached only by mail"
    assert note not in check(LONDON + HOUSE.format(coop="") + people).output
    week = '[duty]\nfriday = "Ben"\nsunday = "Ben"\n'
    assert check(LONDON + HOUSE.format(coop="") + people + week).output.count(note) == 1


def test_a_day_of_nobody_is_refused_with_the_nearest_name() -> None:
    people = '[[person]]\nname = "Ana"\n[duty]\nsunday = "Anna"\n'
    result = check(LONDON + HOUSE.format(coop="") + people)
    assert result.exit_code == 2
    assert 'Did you mean "Ana"?' in result.output


def test_who_is_no_owner_stands_among_the_people_with_what_they_are_invited_for() -> None:
    people = (
        '[[person]]\nname = "Ana"\n[[person]]\nname = "Ben"\nrole = "member"\n'
        '[[person]]\nname = "Kim"\nrole = "sitter"\nfirst_day = 2027-08-03\n'
        "last_day = 2027-08-14\n"
    )
    told = " ".join(check(LONDON + HOUSE.format(coop="") + people).output.split())
    assert "People Ana, Ben (member), Kim (sitter from Tue 3 Aug until Sat 14 Aug)" in told
