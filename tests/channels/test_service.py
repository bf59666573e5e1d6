"""Other services: every trap of apprise that was measured."""

import logging
import subprocess
import sys
from collections.abc import Iterator

import pytest

from scheduler.alerts.delivery import Button, Outcome, OutcomeKind
from scheduler.channels.service import ServiceChannel
from tests.channels.rigs import PATIENT, QUICK, outgoing
from tests.sinks.authority import HERE
from tests.sinks.push import PushSink, Reply
from tests.sinks.raw import RawSink, dribble
from tests.sinks.waiting import at_most

SECRET = "tk_secret"  # noqa: S105 - of a sink


@pytest.fixture
def sink() -> Iterator[PushSink]:
    """What apprise's ntfy plug-in speaks to."""
    with PushSink(tokens={SECRET: "rw"}) as made:
        yield made


def service(sink: PushSink) -> ServiceChannel:
    """One address, named phone."""
    return ServiceChannel({"phone": f"ntfy://{SECRET}@{HERE}:{sink.port}/anna"}, limits=PATIENT)


def test_several_messages_are_not_slowed_down(sink: PushSink) -> None:
    channel = service(sink)
    with at_most(4.0):  # one apprise object would wait 5.5 s between two
        for _ in range(3):
            assert channel.deliver(outgoing("phone")) == Outcome(kind="sent")
    assert len(sink.shown("anna")) == 3


@pytest.mark.parametrize("body", ["", " \n"])
def test_an_empty_body_is_no_failure(sink: PushSink, body: str) -> None:
    assert service(sink).deliver(outgoing("phone", body=body)).kind == "sent"
    assert sink.shown("anna")[0].text == "Close Walnut by 16:58"


def test_buttons_are_left_out_and_the_link_is_written(sink: PushSink) -> None:
    buttons = (Button(label="Alle drin 🐔", answer="x"),)
    sent = outgoing("phone", buttons=buttons, link="https://example.org/tonight")
    assert service(sink).deliver(sent).kind == "sent"
    assert sink.shown("anna")[0].text == "12 birds\nhttps://example.org/tonight"


def test_no_icon_is_loaded_from_elsewhere(sink: PushSink) -> None:
    service(sink).deliver(outgoing("phone"))
    [asked] = sink.asked.all()
    assert b"github" not in asked.body.lower() + str(asked.headers).lower().encode()


def test_a_long_body_loses_its_end_not_its_link(sink: PushSink) -> None:
    sent = outgoing("phone", body="word " * 3000, link="https://example.org/tonight")
    assert service(sink).deliver(sent).kind == "sent"
    [asked] = sink.asked.all()
    assert b"word" in asked.body
    assert b"https://example.org/tonight" in asked.body
    assert len(asked.body) < 8192


@pytest.mark.parametrize(
    ("reply", "kind"),
    [
        (Reply(status=500), "transient"),
        (Reply(status=403), "transient"),  # apprise does not say which
        (Reply(status=202, body=b'{"id":"x"}'), "transient"),
    ],
)
def test_n12_a_refusal_is_no_success(sink: PushSink, reply: Reply, kind: OutcomeKind) -> None:
    sink.script(reply)
    outcome = service(sink).deliver(outgoing("phone"))
    assert outcome.kind == kind


def test_n12_a_redirect_is_not_followed(sink: PushSink) -> None:
    sink.script(Reply(status=302, headers={"Location": f"{sink.url}/elsewhere"}))
    assert service(sink).deliver(outgoing("phone")).kind == "transient"
    assert len(sink.asked.all()) == 1


@pytest.mark.parametrize(
    "url", ["", "nonsense", "nosuch://x", "https://127.0.0.1:99999/", "mqtt://h/t"]
)
def test_an_address_apprise_cannot_use_is_a_fault(url: str) -> None:
    channel = ServiceChannel({"phone": url}, limits=QUICK)
    outcome = channel.deliver(outgoing("phone"))
    assert outcome.kind == "misconfigured"
    assert not url or url not in outcome.reason


def test_a_name_that_is_not_set_up_is_a_fault() -> None:
    assert ServiceChannel({}).deliver(outgoing("phone")).kind == "misconfigured"


@pytest.mark.parametrize("operation", ["hold", "cancel"])
def test_services_cannot_hold(sink: PushSink, operation: str) -> None:
    assert service(sink).deliver(outgoing("phone", operation=operation)).kind == "permanent"
    assert not sink.asked.all()


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "apprise", None)
    outcome = ServiceChannel({"phone": "json://127.0.0.1"}).deliver(outgoing("phone"))
    assert outcome == Outcome(kind="misconfigured", reason="install duskfold[services]")


def test_o10_no_log_tells_where_it_went(sink: PushSink, caplog: pytest.LogCaptureFixture) -> None:
    sink.script(Reply(status=500))
    with caplog.at_level(logging.NOTSET):
        assert service(sink).deliver(outgoing("phone")).kind == "transient"
    assert SECRET not in caplog.text
    assert "anna" not in caplog.text


PROGRAM = """
import sys
from scheduler.channels.deadline import Limits
from scheduler.channels.service import ServiceChannel
from tests.channels.rigs import outgoing
channel = ServiceChannel({"phone": sys.argv[1]}, limits=Limits(total_s=1.5))
print(channel.deliver(outgoing("phone")).kind)
"""


def test_p6_a_call_that_hangs_does_not_keep_the_program_from_ending() -> None:
    with RawSink(dribble(b"HTTP/1.1 200 OK\r\nX: " + b"y" * 9999, pause_s=0.2)) as raw:
        url = f"json://{HERE}:{raw.port}/"
        ran = subprocess.run(
            [sys.executable, "-c", PROGRAM, url],
            capture_output=True, text=True, check=True, timeout=30,
        )  # fmt: skip
    assert ran.stdout == "unknown\n"
