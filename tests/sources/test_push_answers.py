"""The stream of answers: nothing missed, nothing that hangs, nothing raised."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from scheduler.sources.push_answers import AnswerReader
from tests.channels.rigs import HANGS, PATIENT, QUICK
from tests.sinks.authority import HERE, Authority
from tests.sinks.push import PushSink, Reply
from tests.sinks.raw import RawSink, dribble, says, silence
from tests.sinks.waiting import Collected, at_most

RETURN = "answers-77aa"
TOKEN = "tk_read"  # noqa: S105 - of a sink
BRISK = {"pause_s": 0.02, "longest_pause_s": 0.1}
STREAM = b"HTTP/1.1 200 OK\r\n\r\n"
GOOD = b'{"id":"m1","event":"message","message":"good"}\n'
Heard = Collected[tuple[str, str]]


@pytest.fixture
def sink() -> Iterator[PushSink]:
    """A push server whose return topic only one token may read."""
    with PushSink(tokens={TOKEN: "r"}) as made:
        yield made


def answers(*texts: str) -> Callable[[PushSink], None]:
    """Publishes them on the return topic."""

    def publish(sink: PushSink) -> None:
        for text in texts:
            sink.publish(RETURN, {"message": text})

    return publish


@contextmanager
def reading(server: str, into: Heard, **changes: Any) -> Iterator[AnswerReader]:
    """A reader at work; fails when it does not end within a second of being told."""
    usual: dict[str, Any] = {"since": "12h", **BRISK, "limits": PATIENT}
    usual["heard"] = lambda *told: into.add(told)
    reader = AnswerReader(server, RETURN, TOKEN, **(usual | changes))
    stop = threading.Event()
    thread = threading.Thread(target=reader.run, args=(stop,))
    thread.start()
    try:
        yield reader
    finally:
        with at_most(1.0):
            stop.set()
            thread.join()
        assert not reader.connected


def test_it_hears_what_was_said_before_and_after(sink: PushSink) -> None:
    heard = Heard()
    answers("early")(sink)
    with reading(sink.url, heard) as reader:
        heard.wait(1)
        before = reader.last_ok_monotonic
        answers("late 🐔")(sink)
        told = heard.wait(2)
        assert reader.connected
        assert reader.last_ok_monotonic > before
        assert reader.fault == ""
    assert [text for _, text in told] == ["early", "late 🐔"]
    assert reader.since == told[-1][0]


def test_it_hears_a_pressed_button_over_tls(authority: Authority) -> None:
    heard = Heard()
    with (
        PushSink(context=authority.server()) as sink,
        reading(sink.url, heard, tls=authority.client()),
    ):
        answers("all in")(sink)
        assert heard.wait(1)[0][1] == "all in"


def test_it_asks_for_what_came_after_the_last_it_heard(sink: PushSink) -> None:
    heard = Heard()
    with reading(sink.url, heard):
        answers("one", "two")(sink)
        heard.wait(2)
        sink.drop_streams()
        answers("three")(sink)
        told = heard.wait(3)
        answers("four")(sink)
        heard.wait(4)
    assert [text for _, text in heard.all()] == ["one", "two", "three", "four"]
    asked = [asked.path for asked in sink.asked.all()]
    assert asked == [f"/{RETURN}/json?since=12h", f"/{RETURN}/json?since={told[1][0]}"]


def test_it_goes_on_where_it_was_told_to(sink: PushSink) -> None:
    heard = Heard()
    answers("old", "new")(sink)
    with reading(sink.url, heard, since=sink.shown(RETURN)[0].id):
        assert [text for _, text in heard.wait(1)] == ["new"]


def test_only_messages_are_heard(sink: PushSink) -> None:
    heard = Heard()
    with reading(sink.url, heard):
        sink.wait_streams()
        sink.publish("someone-else", {"message": "not for us"})
        sink.take_back(RETURN, "0" * 32)
        answers("")(sink)
        answers("last")(sink)
        told = heard.wait(2)
    assert [text for _, text in told] == ["", "last"]


def test_a_server_that_comes_back_is_found_again(sink: PushSink) -> None:
    heard = Heard()
    sink.script(Reply(status=503), always=True)
    with reading(sink.url, heard) as reader:
        sink.asked.wait(3)
        assert not reader.connected
        assert "503" in reader.fault
        answers("kept")(sink)
        sink.heal()
        assert heard.wait(1)[0][1] == "kept"


def test_the_pauses_grow(sink: PushSink) -> None:
    sink.script(Reply(status=500), always=True)
    began = time.monotonic()
    with reading(sink.url, Heard(), longest_pause_s=60.0):
        sink.asked.wait(5)
    assert time.monotonic() - began >= 0.02 + 0.04 + 0.08 + 0.16


@pytest.mark.parametrize("behaviour", [silence, dribble(b"HTTP/1.1 200 OK\r\n", 0.1)])
def test_n2_n3_stop_ends_it_while_it_waits_for_headers(behaviour: Any) -> None:
    with (
        RawSink(behaviour) as raw,
        reading(f"http://{HERE}:{raw.port}", Heard()),
    ):
        raw.connections.wait(1)


def test_stop_ends_it_while_it_reads(sink: PushSink) -> None:
    heard = Heard()
    sink.mute = True
    answers("one")(sink)
    with reading(sink.url, heard):
        heard.wait(1)  # from here on nothing comes
    assert "answers" not in {thread.name for thread in threading.enumerate()}


def test_a_stream_may_be_quiet_for_longer_than_a_reply_takes() -> None:
    heard = Heard()

    def behave(peer: Any) -> None:
        peer.say(STREAM)
        if peer.hold(2 * QUICK.reply_s):
            peer.say(GOOD)
            peer.hold()

    with (
        RawSink(behave) as raw,
        reading(f"http://{HERE}:{raw.port}", heard, limits=QUICK),
    ):
        heard.wait(1)
        assert len(raw.connections.all()) == 1


def test_n13_stop_ends_it_while_it_looks_up_a_name(hanging_names: Collected[str]) -> None:
    with reading(f"http://{HANGS}", Heard()):
        hanging_names.wait(1)


def test_a_silent_stream_is_opened_anew(sink: PushSink) -> None:
    heard = Heard()
    sink.mute = True
    with reading(sink.url, heard, silence_s=0.3):
        sink.asked.wait(3)
        answers("still heard")(sink)
        assert heard.wait(1)[0][1] == "still heard"


def test_n3_a_stream_that_dribbles_is_silent_too() -> None:
    def behave(peer: Any) -> None:
        peer.say(STREAM)
        dribble(pause_s=0.05)(peer)

    with (
        RawSink(behave) as raw,
        reading(f"http://{HERE}:{raw.port}", Heard(), silence_s=0.3),
    ):
        raw.connections.wait(3)


@pytest.mark.parametrize(
    "nonsense",
    [
        b"not json\n",
        b"\n",
        b"[1]\n",
        b'{"event":"message"}\n',
        b'{"id":7,"event":"message","message":"x"}\n',
        b'{"id":"m0","event":"message","message":["x"]}\n',
        b'{"id":"m0","event":"message","message":"' + b"x" * 9000 + b'"}\n',
        b"y" * 100_000 + b"\n",
        b"y" * 8193 + b'{"id":"m0","event":"message","message":"the tail of a line"}\n',
        b"\xff\xfe\n",
        b"[" * 8000 + b"\n",
    ],
)
def test_nonsense_is_skipped(nonsense: bytes) -> None:
    heard = Heard()
    with (
        RawSink(says(STREAM + nonsense + GOOD, first=b"\r\n\r\n", then_cut=False)) as raw,
        reading(f"http://{HERE}:{raw.port}", heard),
    ):
        assert heard.wait(1) == [("m1", "good")]


def test_what_could_not_be_taken_is_read_again(sink: PushSink) -> None:
    heard = Heard()
    faults = iter([OSError("disk full"), KeyError("x")])

    def take(message_id: str, text: str) -> None:
        for fault in faults:
            raise fault
        heard.add((message_id, text))

    answers("keep me")(sink)
    with reading(sink.url, Heard(), heard=take) as reader:
        assert heard.wait(1)[0][1] == "keep me"
        assert reader.fault == ""
        assert len(sink.asked.all()) == 3


def test_its_repr_tells_no_secret() -> None:
    reader = AnswerReader("https://push.example.net", RETURN, TOKEN, since="", heard=print)
    assert RETURN not in repr(reader)
    assert TOKEN not in repr(reader)
