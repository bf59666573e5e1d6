"""Warnings of the US National Weather Service: only real ones in force, quoted as they are."""

import json
from datetime import timedelta
from typing import Any

import pytest

from scheduler.climate.forecast import OfficialWarning
from scheduler.sources.forecast_port import Fresh, Refused, Unreadable
from scheduler.sources.us_nws_warnings import UsNwsWarnings, read, requests
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, client
from tests.sources.us_nws_server import UsNwsServer, alert, collection
from tests.sources.weather_server import Said

VTEC = "/O.{action}.KGYX.HW.W.0031.261128T1500Z-261129T0300Z/"


def warnings(*alerts: dict[str, Any]) -> tuple[OfficialWarning, ...]:
    found = read(json.dumps(collection(list(alerts))).encode(), NOW)
    assert isinstance(found, tuple), found
    return found


def test_the_request_is_exactly_this() -> None:
    (request,) = requests(ASKING)
    assert request.url == "https://api.weather.gov/alerts/active?point=44.3,-71.2"
    assert request.headers == {"User-Agent": AGENT, "Accept-Encoding": "gzip"}


def test_headline_and_sender_are_quoted_unchanged() -> None:
    (warning,) = warnings(alert(NOW, "High Wind Warning"))
    assert warning == OfficialWarning(
        id="urn:oid:2.49.0.1.840.0.High Wind Warning",
        kind="storm",
        event="High Wind Warning",
        headline="High Wind Warning issued November 30 at 4:12AM EST by NWS Gray ME",
        sender="NWS Gray ME",
        onset=NOW,
        ends=NOW + timedelta(hours=6),
    )


@pytest.mark.parametrize(
    ("event", "kind"),
    [
        ("Tornado Warning", "storm"),
        ("Wind Advisory", "storm"),
        ("Ice Storm Warning", "storm"),
        ("Freeze Warning", "frost"),
        ("Extreme Cold Warning", "frost"),
        ("Cold Weather Advisory", "frost"),
        ("Extreme Heat Warning", "heat"),
        ("Heat Advisory", "heat"),
    ],
)
def test_each_event_has_its_kind(event: str, kind: str) -> None:
    assert [warning.kind for warning in warnings(alert(NOW, event))] == [kind]


@pytest.mark.parametrize(
    "changes",
    [
        {"event": "Flood Warning"},
        {"event": "High Wind Watch"},
        {"event": None},
        {"status": "Test"},
        {"status": "Exercise"},
        {"status": "Draft"},
        {"messageType": "Cancel"},
        {"messageType": "Error"},
        {"ends": (NOW - timedelta(minutes=1)).isoformat()},
        {"parameters": {"VTEC": [VTEC.format(action="CAN")]}},
        {"parameters": {"VTEC": [VTEC.format(action="EXP")]}},
        {"parameters": {"VTEC": [VTEC.format(action="UPG")]}},
    ],
)
def test_what_is_not_real_not_ours_or_over_is_none(changes: dict[str, Any]) -> None:
    assert warnings(alert(NOW, "High Wind Warning") | changes) == ()


@pytest.mark.parametrize("action", ["NEW", "CON", "EXT", "EXA", "EXB", "COR"])
def test_what_goes_on_stands(action: str) -> None:
    changes = {"parameters": {"VTEC": [VTEC.format(action=action)]}, "messageType": "Update"}
    assert warnings(alert(NOW, "High Wind Warning", **changes))


def test_one_part_cancelled_and_another_continued_stands() -> None:
    both = [VTEC.format(action="CAN"), VTEC.format(action="CON")]
    assert warnings(alert(NOW, "High Wind Warning", parameters={"VTEC": both}))


@pytest.mark.parametrize("kind", ["Cancel", "Update"])
def test_what_a_later_message_replaces_is_over(kind: str) -> None:
    first = alert(NOW, "High Wind Warning", id="one")
    later = alert(
        NOW, "High Wind Warning", id="two", messageType=kind, references=[{"identifier": "one"}]
    )
    told = [warning.id for warning in warnings(first, later)]
    assert told == (["two"] if kind == "Update" else [])


def test_a_test_message_cancels_nothing() -> None:
    first = alert(NOW, "High Wind Warning", id="one")
    test = alert(NOW, "x", id="two", status="Test", references=[{"identifier": "one"}])
    assert [warning.id for warning in warnings(first, test)] == ["one"]


def test_without_onset_and_end_its_effect_and_expiry_count() -> None:
    (warning,) = warnings(alert(NOW, "Frost Advisory", onset=None, ends=None, headline=None))
    assert warning.onset == NOW - timedelta(hours=1)
    assert warning.ends == NOW + timedelta(hours=4)
    assert warning.headline == "Frost Advisory"


@pytest.mark.parametrize(
    "body", [b"<html>", b"{}", b'{"features": [3]}', b'{"features": [{"properties": null}]}']
)
def test_what_is_no_collection_is_a_value(body: bytes) -> None:
    assert isinstance(read(body, NOW), Unreadable)


def test_it_is_asked_every_15_minutes_at_most_whatever_comes(authority: Authority) -> None:
    with UsNwsServer(authority.server(), NOW) as server:
        source = UsNwsWarnings(client=client(authority), server=server.url)
        server.alerts = [alert(NOW, "Blizzard Warning")]
        answer = source.fetch(ASKING, NOW)
        assert isinstance(answer, Fresh)
        assert answer.expires == NOW + timedelta(minutes=15)
        assert isinstance(source.read(answer.body, NOW), tuple)
        server.always = Said(status=500)
        refusal = source.fetch(ASKING, NOW)
        assert isinstance(refusal, Refused)
        assert refusal.retry_after_s == 900.0
