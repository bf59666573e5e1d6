"""A report from texts: as told, or every wrong field at once."""

from datetime import date

import pytest

from scheduler.cares.records import Report, Spell
from scheduler.profile.load import Problems
from scheduler.profile.problem import Problem
from scheduler.service.reports.read_report import ToldReport, odd, read_report

MONDAY = date(2026, 12, 21)


def read(**told: str) -> Report | Problems:
    return read_report(ToldReport(**told), "UK", MONDAY)


def wrong(**told: str) -> dict[object, Problem]:
    found = read(**told)
    assert isinstance(found, tuple)
    return {problem.key[0]: problem for problem in found}


def test_a_predator_s_visit_is_minded_for_a_fortnight_and_has_a_grade() -> None:
    spell = Spell(first=MONDAY, last=date(2027, 1, 3))
    assert read(kind="predator") == Report(kind="predator", spell=spell, grade="tried")
    for written in ("got-at", "got at", "Got_At"):
        found = read(kind="predator", grade=written)
        assert found == Report(kind="predator", spell=spell, grade="got-at")
    near = wrong(kind="predator", grade="nearbye")
    assert near["grade"].accepted == "nearby, tried, got-at"
    assert near["grade"].hint == 'Did you mean "nearby"?'
    other = wrong(kind="storm", grade="tried")
    assert list(other) == ["grade"]
    assert other["grade"].hint == "Only a predator has a grade, so leave this empty."


@pytest.mark.parametrize(
    ("kind", "air"), [("heat", "200F"), ("heat", "-5C"), ("frost", "80F"), ("frost", "-80C")]
)
def test_k11_what_cannot_be_is_refused(kind: str, air: str) -> None:
    found = wrong(kind=kind, air=air)
    assert list(found) == ["air"]
    assert found["air"].found == f'"{air}"'
    assert found["air"].accepted.startswith(f"{kind} between ")


@pytest.mark.parametrize(
    ("kind", "air", "question"),
    [
        ("heat", "10C", "10\u00a0°C is unusual for heat. Is it right?"),
        ("frost", "50F", "10\u00a0°C is unusual for frost. Is it right?"),
        ("heat", "97F", ""),
        ("frost", "36F", ""),
    ],
)
def test_k11_what_is_odd_is_asked_about(kind: str, air: str, question: str) -> None:
    found = read(kind=kind, air=air)
    assert isinstance(found, Report)
    assert odd(found, "metric") == question


def test_k11_weather_that_lasts_for_months_is_asked_about() -> None:
    found = read(kind="heat", last="2027-12-22")
    assert isinstance(found, Report)
    assert odd(found, "metric") == "Will the heat really last 367 days?"


def test_a_report_without_days_is_of_today_and_an_order_goes_on() -> None:
    assert read(kind="storm") == Report(kind="storm", spell=Spell(first=MONDAY, last=MONDAY))
    assert read(kind="order") == Report(kind="order", spell=Spell(first=MONDAY))


def test_the_last_day_is_counted_from_the_first() -> None:
    found = read(kind="heat", first="sat", last="mon", air="97 °F")
    assert isinstance(found, Report)
    assert found.spell == Spell(first=date(2026, 12, 26), last=date(2026, 12, 28))
    assert found.air_c == pytest.approx(36.11, abs=0.01)


def test_what_began_before_today_may_last_until_today() -> None:
    found = read(kind="heat", first="2026-12-18", last="today")
    assert isinstance(found, Report)
    assert found.spell == Spell(first=date(2026, 12, 18), last=MONDAY)
    assert set(wrong(kind="heat", first="sat", last="tomorrow")) == {"last"}, "before it begins"


def test_link_and_whom_it_binds_are_kept_as_written() -> None:
    found = read(kind="order", link="HTTPS://example.org/a?b=ü", who="everybody in the county")
    assert isinstance(found, Report)
    assert (found.link, found.who) == ("HTTPS://example.org/a?b=ü", "everybody in the county")


def test_every_wrong_field_is_told_at_once_in_the_order_of_the_form() -> None:
    found = wrong(
        kind="heet", first="someday", last="later", air="warm", link="example.org", who="x" * 121
    )
    assert list(found) == ["kind", "first", "last", "air", "link", "who"]
    assert found["kind"].found == '"heet"'
    assert found["kind"].accepted == "heat, frost, snow, storm, predator, order"
    assert found["kind"].hint == 'Did you mean "heat"?'
    assert found["first"].found == '"someday"'
    assert (
        found["last"].accepted == "a date such as 2026-12-21, a weekday, yesterday, today, tomorrow"
    )
    assert found["air"].accepted.startswith("a temperature such as")


def test_what_was_written_is_told_again_shortened_and_without_controls() -> None:
    found = wrong(kind="heat", air="3\x1b[2J" + "0" * 300, first="\x07" + "9" * 300)
    for problem in found.values():
        assert len(problem.found) < 80
        assert problem.found.isprintable()


def test_the_last_day_is_not_before_the_first() -> None:
    found = wrong(kind="storm", first="2026-12-24", last="2026-12-20")
    assert list(found) == ["last"]
    assert found["last"].found == '"2026-12-20"'
    assert found["last"].accepted == "2026-12-24 or a later day"


def test_a_day_that_was_not_given_is_not_an_empty_one() -> None:
    assert list(wrong(kind="storm", first="", last="")) == ["first", "last"]


@pytest.mark.parametrize("day", ["0001-01-01", "2024-12-19", "2028-12-22", "9999-12-31"])
def test_days_lie_within_two_years(day: str) -> None:
    found = wrong(kind="storm", first=day, last=day)
    assert list(found) == ["first", "last"]
    assert found["first"].accepted == "a day from 2024-12-20 to 2028-12-21"


@pytest.mark.parametrize("day", ["2024-12-20", "2028-12-21"])
def test_the_ends_of_the_two_years_are_days_too(day: str) -> None:
    assert isinstance(read(kind="storm", first=day, last=day), Report)


@pytest.mark.parametrize("kind", ["snow", "storm", "predator", "order"])
def test_only_heat_and_frost_have_a_temperature(kind: str) -> None:
    found = wrong(kind=kind, air="3 °C")
    assert list(found) == ["air"]
    assert found["air"].accepted == "no temperature here"
    assert isinstance(read(kind="frost", air="-3 °C"), Report)


@pytest.mark.parametrize(
    "link",
    [
        "javascript:alert(1)",
        "ftp://example.org/",
        "//example.org",
        "https://",
        "https:///order",
        "https://example.org/a b",
        "https://example.org/\u202e",
        "https://example.org/\nx",
        "https://example.org/" + 281 * "x",
    ],
)
def test_a_link_is_http_and_has_a_length(link: str) -> None:
    found = wrong(kind="order", link=link)
    assert list(found) == ["link"]
    assert len(found["link"].found) <= 60
    assert isinstance(read(kind="order", link="https://example.org/" + 280 * "x"), Report)


def test_whom_it_binds_is_one_line() -> None:
    assert list(wrong(kind="order", who="everybody\nat all")) == ["who"]
    assert isinstance(read(kind="order", who="x" * 120), Report)


@pytest.mark.parametrize(
    ("link", "hint"),
    [
        ("http://[x", "After a [ there must be a whole IPv6 address and then a ]."),
        ("http://example.org:99999/", "The number after the colon must be from 1 to 65535."),
        ("https://<script>/", "The server's name is missing or wrong"),
        ("https://@/", "The server's name is missing or wrong"),
    ],
)
def test_a_link_that_no_browser_can_follow_is_refused_with_the_reason(link: str, hint: str) -> None:
    found = wrong(kind="order", link=link)
    assert list(found) == ["link"]
    assert found["link"].hint.startswith(hint)


@pytest.mark.parametrize("link", ["https://[2001:db8::1]:8443/a", "http://münchen.example/ä?b=1"])
def test_a_link_may_be_of_any_server(link: str) -> None:
    assert isinstance(read(kind="order", link=link), Report)
