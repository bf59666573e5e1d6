"""Every source keeps the port's promises: against servers on loopback, never run live."""

import gzip
import json
import re
import zlib
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduler.climate.forecast import Forecast
from scheduler.sources.forecast_port import (
    Asking,
    ForecastPort,
    Fresh,
    Refused,
    Unchanged,
    Unreadable,
    rough,
)
from scheduler.wording.told_later import told
from scheduler.wording.words import Language, Words
from tests.channels.rigs import QUICK, SOON_S, closed_port
from tests.sinks.authority import HERE, Authority
from tests.sinks.raw import RawSink, silence
from tests.sinks.waiting import at_most
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, PATIENT, PLACE, Rig
from tests.sources.weather_server import Said
from tests.wording.marked import speaking

HTML = b"<!DOCTYPE html><html><body>Sign in to this network</body></html>"
COORDINATES = ("44.3", "71.2", "71.19", "300", "keeper@example.org", HERE)


def fresh(port: ForecastPort, asking: Asking = ASKING) -> Fresh:
    answer = port.fetch(asking, NOW)
    assert isinstance(answer, Fresh), answer
    return answer


def forecast_of(port: ForecastPort, body: bytes) -> Forecast:
    forecast = port.read(body, PLACE, NOW)
    assert isinstance(forecast, Forecast), forecast
    return forecast


def test_what_it_gives_is_a_forecast_of_the_place_for_days(port: ForecastPort) -> None:
    forecast = forecast_of(port, fresh(port).body)
    assert forecast.source == port.name
    assert forecast.made_at <= NOW
    assert abs(forecast.latitude_deg - PLACE.latitude_deg) <= 0.5
    assert all(first.at < second.at for first, second in pairwise(forecast.hours))
    assert forecast.hours[-1].at - NOW > timedelta(days=5)
    assert all(hour.at.tzinfo is not None for hour in forecast.hours)
    assert {type(hour.air_c) for hour in forecast.hours} == {float}


def test_reading_the_same_bytes_gives_the_same_forecast(port: ForecastPort) -> None:
    body = fresh(port).body
    assert forecast_of(port, body) == forecast_of(port, body)


def test_it_says_until_when_it_need_not_be_asked_again(port: ForecastPort) -> None:
    expires = fresh(port).expires
    assert expires is not None
    assert NOW < expires <= NOW + timedelta(days=1)


@pytest.mark.parametrize("rounding", [0.01, 0.1])
def test_every_request_is_https_rough_and_names_the_program(
    port: ForecastPort, rounding: float
) -> None:
    asking = Asking(place=rough(44.30123456, -71.19876543, 296.0, rounding), agent=AGENT)
    for request in port.requests(asking):
        assert request.method == "GET"
        assert request.url.startswith("https://")
        assert request.headers["User-Agent"] == AGENT
        behind_points = re.findall(r"\d\.(\d+)", request.url.partition("//")[2].partition("/")[2])
        assert max(map(len, behind_points), default=0) <= (1 if rounding > 0.05 else 2)


def test_html_with_status_200_is_no_forecast(port: ForecastPort) -> None:
    assert port.read(HTML, PLACE, NOW) == Unreadable("not json")


@pytest.mark.parametrize("body", [b"", b"null", b"[]", b"{}", b'{"properties": 3}', b"\xff\xfe"])
def test_what_is_no_forecast_is_a_value(port: ForecastPort, body: bytes) -> None:
    assert isinstance(port.read(body, PLACE, NOW), Unreadable)


def test_deep_nesting_and_endless_numbers_are_values(port: ForecastPort) -> None:
    for body in (b"[" * 200_000, b'{"latitude": ' + b"9" * 5000 + b"}", b'{"hourly": NaN}'):
        assert isinstance(port.read(body, PLACE, NOW), Unreadable)


def test_a_forecast_for_another_place_is_refused(port: ForecastPort) -> None:
    body = fresh(port).body
    assert port.read(body, rough(45.0, -71.2), NOW) == Unreadable("place")
    assert isinstance(port.read(body, rough(44.7, -71.2), NOW), Forecast)


def test_a_clock_wrong_by_a_day_is_noticed(port: ForecastPort) -> None:
    body = fresh(port).body
    assert port.read(body, PLACE, NOW - timedelta(days=1)) == Unreadable("future")
    ahead = port.read(body, PLACE, NOW + timedelta(days=1))
    assert isinstance(ahead, Forecast)
    assert ahead.made_at <= NOW + timedelta(hours=10)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=5,
)


@pytest.fixture
def good(port: ForecastPort) -> bytes:
    """What the source gives, fetched once for all examples, and no longer than they need."""
    whole = json.loads(fresh(port).body)
    series = whole.get("properties", {}).get("timeseries", [])
    del series[3:-30]
    return json.dumps(whole).encode()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_nothing_in_its_form_makes_it_raise(
    port: ForecastPort, good: bytes, data: st.DataObject
) -> None:
    whole = json.loads(good)
    parent, key, value = whole, None, whole
    for _ in range(data.draw(st.integers(1, 7))):
        if isinstance(value, dict) and value:
            parent, key = value, data.draw(st.sampled_from(sorted(value)))
        elif isinstance(value, list) and value:
            parent, key = value, data.draw(st.integers(0, len(value) - 1))
        else:
            break
        value = parent[key]
    parent[key] = data.draw(json_values)
    read = port.read(json.dumps(whole).encode(), PLACE, NOW)
    assert isinstance(read, Forecast | Unreadable)


@pytest.mark.parametrize("wired", ["met-norway", "us-nws"], indirect=True)
def test_who_has_a_copy_is_told_that_nothing_has_changed(wired: Rig) -> None:
    first = fresh(wired.port)
    assert first.last_modified
    again = wired.port.fetch(replace(ASKING, last_modified=first.last_modified), NOW)
    assert isinstance(again, Unchanged)
    assert again.expires == first.expires
    assert wired.server.asked.all()[-1].headers["If-Modified-Since"] == first.last_modified


def test_304_without_a_copy_is_a_refusal(wired: Rig) -> None:
    wired.server.always = Said(status=304)
    answer = wired.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == "no copy"


@pytest.mark.parametrize(
    ("status", "kind"),
    [
        (400, "not understood"),
        (404, "outside"),
        (418, "strange"),
        (422, "outside"),
        (429, "throttled"),
        (500, "broken"),
        (503, "broken"),
    ],
)
def test_each_refusal_has_its_name(wired: Rig, status: int, kind: str) -> None:
    wired.server.always = Said(status=status, body=HTML)
    answer = wired.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == kind
    assert not answer.until_restart


def test_403_is_until_restart(wired: Rig) -> None:
    wired.server.always = Said(status=403, body=HTML)
    answer = wired.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert (answer.kind, answer.until_restart) == ("not let in", True)


def test_429_says_how_long_to_wait(wired: Rig) -> None:
    wired.server.always = Said(status=429, headers={"Retry-After": "7200"})
    answer = wired.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.retry_after_s == 7200.0


def test_203_is_used_and_said_to_be_deprecated(wired: Rig) -> None:
    body = fresh(wired.port).body
    for _ in range(2):  # a look-up, where there is one, and the forecast
        wired.server.script.append(Said(status=203, body=body))
    answer = fresh(wired.port)
    assert answer.deprecated
    assert forecast_of(wired.port, answer.body).hours


def test_a_cut_off_gzip_is_no_forecast(wired: Rig) -> None:
    fresh(wired.port)  # looks up where it has to
    packed = gzip.compress(json.dumps(list(range(1000))).encode())[:-20]
    headers = {"Content-Encoding": "gzip"}
    wired.server.always = Said(headers=headers, body=packed)
    assert refusal(wired) == "garbled"
    wired.server.always = Said(headers=headers, body=b"")
    assert refusal(wired) == "garbled"
    wired.server.always = Said(headers=headers, body=HTML)
    assert refusal(wired) == "garbled"


def test_a_gzip_bomb_is_not_unpacked(wired: Rig) -> None:
    fresh(wired.port)
    bomb = gzip.compress(b" " * 50_000_000)
    assert len(bomb) < 64 * 1024
    wired.server.always = Said(headers={"Content-Encoding": "gzip"}, body=bomb)
    assert refusal(wired) == "too large"


def test_more_than_a_mebibyte_is_not_read(wired: Rig) -> None:
    fresh(wired.port)
    wired.server.always = Said(body=b" " * (1024 * 1024 + 1))
    assert refusal(wired) == "too large"


def test_another_coding_than_was_asked_for_is_garbled(wired: Rig) -> None:
    fresh(wired.port)
    wired.server.always = Said(headers={"Content-Encoding": "deflate"}, body=zlib.compress(b"{}"))
    assert refusal(wired) == "garbled"


def test_an_answer_that_ends_too_early_is_garbled(wired: Rig) -> None:
    fresh(wired.port)
    wired.server.always = Said(body=b"{}", cut=True)
    assert refusal(wired) == "garbled"


def test_one_redirect_within_the_host_is_followed(wired: Rig) -> None:
    before = fresh(wired.port)
    asked = wired.server.asked.all()[-1].path
    wired.server.script.append(Said(status=301, headers={"Location": asked}))
    # Back to the very same address: that would never end.
    assert refusal(wired) == "moved"
    wired.server.script.append(Said(status=307, headers={"Location": f"{asked}#here"}))
    assert fresh(wired.port).body == before.body


def test_a_second_redirect_is_not_followed(wired: Rig) -> None:
    fresh(wired.port)
    for there in ("/one", "/two"):
        wired.server.script.append(Said(status=302, headers={"Location": there}))
    count = len(wired.server.asked.all())
    assert refusal(wired) == "moved"
    assert len(wired.server.asked.all()) == count + 2


@pytest.mark.parametrize(
    "location",
    [
        "https://elsewhere.example.net/",
        "//elsewhere.example.net/",
        "http://{here}/",
        "https://{here}1/",
        "https://keeper@{here}/",
        "https://[::/",
        "file:///etc/passwd",
        "",
    ],
)
def test_a_redirect_to_another_host_or_out_of_tls_is_not_followed(
    wired: Rig, location: str
) -> None:
    fresh(wired.port)
    here = wired.server.url.partition("//")[2]
    wired.server.script.append(Said(status=302, headers={"Location": location.format(here=here)}))
    count = len(wired.server.asked.all())
    assert refusal(wired) == "moved"
    assert len(wired.server.asked.all()) == count + 1


def test_it_never_asks_without_tls(wired: Rig) -> None:
    plain = wired.towards(wired.server.url.replace("https:", "http:"), PATIENT)
    answer = plain.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == "not secure"
    assert wired.server.asked.all() == []


def test_it_believes_no_unknown_certificate(wired: Rig) -> None:
    with type(wired.server)(Authority().server(), NOW) as stranger:
        answer = wired.towards(stranger.url, PATIENT).fetch(ASKING, NOW)
        assert isinstance(answer, Refused)
        assert answer.kind == "no connection"
        assert stranger.asked.all() == []


def test_a_server_that_is_away_or_silent_is_a_value_in_time(wired: Rig) -> None:
    with RawSink(silence) as silent:
        for port in (silent.port, closed_port()):
            with at_most(SOON_S):
                answer = wired.towards(f"https://{HERE}:{port}", QUICK).fetch(ASKING, NOW)
            assert isinstance(answer, Refused)
            assert answer.kind == "no connection"
            assert answer.reason


@pytest.mark.parametrize("status", [200, 304, 400, 403, 404, 429, 500])
def test_no_value_shows_the_place_the_address_or_the_contact(wired: Rig, status: int) -> None:
    wired.server.always = Said(status=status, body=b'{"latitude": 44.3}')
    shown = repr(wired.port.fetch(ASKING, NOW)) + repr(ASKING.place)
    assert not [each for each in COORDINATES if each in shown]


def test_a_refusal_is_kept_in_english_and_told_in_the_language_of_the_day(wired: Rig) -> None:
    wired.server.always = Said(status=503)
    answer = wired.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.reason == "the weather service has a fault of its own"
    german = Language("de", {"WhyNoForecast.broken": "der Wetterdienst ist gestört"})
    with speaking(german):
        assert told(answer.reason) == "der Wetterdienst ist gestört"
    assert "WhyNoForecast.broken" in Words.all


def refusal(rig: Rig) -> str:
    answer = rig.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused), answer
    return answer.kind
