"""Push: what is published, held and taken back, and what each answer means."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from email.utils import format_datetime
from typing import Any

import pytest

from scheduler.alerts.delivery import Button, Outcome, OutcomeKind
from scheduler.channels.budget import BURST, EVERY_S, KEPT_FOR_MESSAGES, Budget
from scheduler.channels.push import PROBE_ID, PushChannel, is_to_come
from tests.channels.rigs import NOW, PATIENT, QUICK, TOPIC, now, outgoing
from tests.sinks.authority import HERE, Authority
from tests.sinks.push import Asked, PushSink, Reply
from tests.sinks.raw import RawSink, cut, says
from tests.sinks.waiting import at_most

RETURN = "answers-77aa"
FULL, BUTTON = "tk_full", "tk_button"
BUTTONS = (
    Button(label="All in 🐔", answer="duskfold all-in"),
    Button(label="Some missing", answer="duskfold some-missing"),
)
IN_AN_HOUR = NOW + timedelta(hours=1)
AGAIN = IN_AN_HOUR + timedelta(minutes=20)
Pusher = Callable[..., PushChannel]


@pytest.fixture
def sink() -> Iterator[PushSink]:
    """A push server that wants tokens."""
    with PushSink(tokens={FULL: "rw", BUTTON: "w"}) as made:
        yield made


@pytest.fixture
def pusher(authority: Authority) -> Pusher:
    """A push channel that knows the tokens of one server."""

    def make(server: str, **changes: Any) -> PushChannel:
        usual: dict[str, Any] = {"button_tokens": {server: BUTTON}, "limits": PATIENT}
        usual["tls"] = authority.client()
        return PushChannel({server: FULL}, RETURN, now, **(usual | changes))

    return make


def deliver(pusher: Pusher, sink: PushSink, **changes: Any) -> Outcome:
    """One message to Anna's topic on that server."""
    return pusher(sink.url).deliver(outgoing(f"{sink.url}/{TOPIC}", **changes))


def to_anna(sink: PushSink) -> list[Asked]:
    """The requests that were not the probe."""
    return [asked for asked in sink.asked.all() if TOPIC.encode() in asked.body]


def test_what_is_published(pusher: Pusher, sink: PushSink) -> None:
    sent = deliver(pusher, sink, buttons=BUTTONS, link="https://example.org/tonight", priority=4)
    assert sent == Outcome(kind="sent")
    [asked] = sink.asked.all()
    assert (asked.method, asked.path) == ("POST", "/")
    assert asked.headers["Authorization"] == f"Bearer {FULL}"
    assert json.loads(asked.body) == {
        "topic": TOPIC,
        "title": "Close Walnut by 16:58",
        "message": "12 birds",
        "priority": 4,
        "sequence_id": outgoing("").message_id,
        "click": "https://example.org/tonight",
        "actions": [
            *(
                {
                    "action": "http",
                    "label": button.label,
                    "url": f"{sink.url}/{RETURN}",
                    "method": "POST",
                    "body": button.answer,
                    "clear": True,
                    "headers": {"Authorization": f"Bearer {BUTTON}"},
                }
                for button in BUTTONS
            ),
            {"action": "view", "label": "Open", "url": "https://example.org/tonight"},
        ],
    }


def test_a_pressed_button_answers_on_the_return_topic(pusher: Pusher, sink: PushSink) -> None:
    deliver(pusher, sink, buttons=BUTTONS)
    [message] = sink.wait_shown(TOPIC)
    assert sink.press(message, 1) == 200
    assert [one.text for one in sink.shown(RETURN)] == ["duskfold some-missing"]


def test_three_buttons_leave_no_room_for_a_page(pusher: Pusher, sink: PushSink) -> None:
    deliver(pusher, sink, buttons=(*BUTTONS, *BUTTONS), link="https://example.org/tonight")
    [message] = sink.shown(TOPIC)
    assert [action["action"] for action in message.said["actions"]] == ["http"] * 3


def test_without_tokens_nothing_claims_to_be_one(pusher: Pusher) -> None:
    with PushSink() as sink:
        channel = pusher(sink.url, button_tokens={})
        bare = replace(channel, tokens={"https://push.example.net": FULL})
        assert bare.deliver(outgoing(f"{sink.url}/{TOPIC}", buttons=BUTTONS)).kind == "sent"
        [asked] = sink.asked.all()
        assert "Authorization" not in asked.headers
        assert FULL.encode() not in asked.body
        assert sink.press(sink.shown(TOPIC)[0]) == 200


def test_a_message_without_a_body_shows_its_title(pusher: Pusher, sink: PushSink) -> None:
    deliver(pusher, sink, body="")
    assert [one.text for one in sink.shown(TOPIC)] == ["Close Walnut by 16:58"]


@pytest.mark.parametrize("letter", ["x", "é", "🐔", '"', "\n."])
@pytest.mark.parametrize("count", [4100, 9000])
def test_a_long_body_stays_a_message(
    pusher: Pusher, sink: PushSink, letter: str, count: int
) -> None:
    body = "ab" + letter * count
    assert deliver(pusher, sink, body=body).kind == "sent"
    [message] = sink.shown(TOPIC)
    assert "attachment" not in message.said
    assert message.text.endswith("…")
    assert body.startswith(message.text[:-1])
    assert len(message.text) > 900


def test_n12_too_large_is_tried_once_more_and_shorter(pusher: Pusher, sink: PushSink) -> None:
    sink.script(Reply(status=413))
    assert deliver(pusher, sink, body="é" * 1900).kind == "sent"
    assert [len(one.text) for one in sink.shown(TOPIC)] == [1000]


@pytest.mark.parametrize(("length", "attempts"), [(1001, 2), (1000, 1)])
def test_n12_too_large_for_good_is_permanent(
    pusher: Pusher, sink: PushSink, length: int, attempts: int
) -> None:
    sink.script(Reply(status=413), always=True)
    assert deliver(pusher, sink, body="x" * length).kind == "permanent"
    assert len(sink.asked.all()) == attempts


OK = b"HTTP/1.1 200 OK\r\n"
IN_90_S = format_datetime(NOW + timedelta(seconds=90), usegmt=True)
YESTERDAY = format_datetime(NOW - timedelta(days=1), usegmt=True)


@pytest.mark.parametrize(
    ("reply", "kind", "retry_after_s"),
    [
        (Reply(status=429, headers={"Retry-After": "7"}), "transient", 7),
        (Reply(status=429, headers={"Retry-After": "999999"}), "transient", 600),
        (Reply(status=429, headers={"Retry-After": IN_90_S}), "transient", 90),
        (Reply(status=429, headers={"Retry-After": YESTERDAY}), "transient", 0),
        (Reply(status=429, headers={"Retry-After": "soon, I think"}), "transient", None),
        (Reply(status=429, headers={"Retry-After": "-5"}), "transient", None),
        (Reply(status=429), "transient", None),
        (Reply(status=500), "transient", None),
        (Reply(status=503, headers={"Retry-After": "9"}), "transient", 9),
        (Reply(status=401), "bad address", None),
        (Reply(status=403), "bad address", None),
        (Reply(status=404), "bad address", None),
        (Reply(status=400), "permanent", None),
        (Reply(status=422), "permanent", None),
        (Reply(status=200, body=b"<html>Welcome to your router"), "misconfigured", None),
        (Reply(status=200, body=b'{"error":"no"}'), "misconfigured", None),
        (Reply(status=200, body=b'["id"]'), "misconfigured", None),
        (Reply(status=200, body=b"[" * 60_000), "misconfigured", None),
        (Reply(status=200, body=b'{"id":"' + b"x" * 99_999), "misconfigured", None),
        (Reply(status=204, body=b""), "misconfigured", None),
    ],
)
def test_n12_each_answer_means_what_the_table_says(
    pusher: Pusher, sink: PushSink, reply: Reply, kind: OutcomeKind, retry_after_s: float | None
) -> None:
    sink.script(reply)
    outcome = deliver(pusher, sink)
    assert (outcome.kind, outcome.retry_after_s) == (kind, retry_after_s)
    assert not sink.shown(TOPIC)
    assert len(sink.asked.all()) == 1


@pytest.mark.parametrize("status", [301, 302, 303, 307, 308])
def test_n12_a_redirect_is_not_followed(pusher: Pusher, sink: PushSink, status: int) -> None:
    sink.script(Reply(status=status, headers={"Location": f"{sink.url}/"}), always=True)
    assert deliver(pusher, sink).kind == "misconfigured"
    assert len(sink.asked.all()) == 1


def test_a4_a_wrong_token_is_refused_for_this_topic(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    wrong = replace(channel, tokens={sink.url: "tk_other"})
    assert wrong.deliver(outgoing(f"{sink.url}/{TOPIC}")).kind == "bad address"


@pytest.mark.parametrize("token", ["tk\r\nX-Evil: 1", "tk\ud83d", "tök\u2028"])
def test_f8_a_token_cannot_add_a_header(pusher: Pusher, sink: PushSink, token: str) -> None:
    channel = replace(pusher(sink.url), tokens={sink.url: token})
    outcome = channel.deliver(outgoing(f"{sink.url}/{TOPIC}"))
    assert outcome.kind == "misconfigured"
    assert "tk" not in outcome.reason
    assert not sink.asked.all()


@pytest.mark.parametrize(
    ("behaviour", "kind"),
    [
        (says(b"", first=b"}"), "unknown"),
        (says(OK + b"Content-Length: 99\r\n\r\n{", first=b"}"), "unknown"),
        (says(b"HTTP/1.1 500 Oh\r\nContent-Length: 99\r\n\r\n{", first=b"}"), "transient"),
        (says(OK + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n", first=b"}"), "unknown"),
        (says(b"SSH-2.0-OpenSSH_9.9\r\n", then_cut=False), "misconfigured"),
        (says(OK + b"X: y\r\n" * 500, then_cut=False), "misconfigured"),
    ],
)
def test_n9_no_whole_answer(pusher: Pusher, behaviour: Any, kind: OutcomeKind) -> None:
    with RawSink(behaviour) as raw:
        server = f"http://{HERE}:{raw.port}"
        outcome = pusher(server, limits=QUICK).deliver(outgoing(f"{server}/{TOPIC}"))
    assert outcome.kind == kind


def test_n11_a_certificate_nobody_knows_is_a_fault(pusher: Pusher) -> None:
    with PushSink(context=Authority().server()) as sink:
        outcome = deliver(pusher, sink)
    assert outcome.kind == "misconfigured"
    assert "certificate" in outcome.reason


def test_https_to_a_server_without_it_is_a_fault(pusher: Pusher, sink: PushSink) -> None:
    address = f"https://{HERE}:{sink.port}/{TOPIC}"
    assert pusher(sink.url).deliver(outgoing(address)).kind == "misconfigured"


def hold(channel: PushChannel, sink: PushSink, **changes: Any) -> Outcome:
    """A message that rings in an hour."""
    usual = {"operation": "hold", "rings_at": IN_AN_HOUR}
    return channel.deliver(outgoing(f"{sink.url}/{TOPIC}", **(usual | changes)))


def cancel(channel: PushChannel, sink: PushSink, *, held: bool = True) -> Outcome:
    """Takes that message back."""
    target = outgoing("").message_id
    changes: dict[str, Any] = {"operation": "cancel", "target_id": target, "message_id": "0" * 32}
    changes |= {"rings_at": IN_AN_HOUR} if held else {}
    return channel.deliver(outgoing(f"{sink.url}/{TOPIC}", **changes))


def test_a_held_message_rings_when_its_time_has_come(pusher: Pusher, sink: PushSink) -> None:
    assert hold(pusher(sink.url), sink).kind == "sent"
    assert not sink.ring_due(IN_AN_HOUR - timedelta(seconds=1))
    assert [one.text for one in sink.ring_due(IN_AN_HOUR)] == ["12 birds"]
    assert not sink.ring_due(AGAIN - timedelta(seconds=1))
    assert [one.text for one in sink.ring_due(AGAIN)] == ["12 birds"], "it repeats once"
    assert not sink.held
    assert not sink.shown(RETURN)  # the probe was taken back


def test_a_held_message_is_replaced_by_its_copy(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    later = IN_AN_HOUR + timedelta(minutes=30)
    assert [hold(channel, sink).kind, hold(channel, sink, rings_at=later).kind] == ["sent"] * 2
    assert not sink.ring_due(IN_AN_HOUR)
    assert len(sink.ring_due(later)) == 1
    assert len(sink.held) == 1, "the repeat was put off as well"
    assert len(sink.ring_due(later + timedelta(minutes=20))) == 1


def test_a_held_message_can_be_taken_back(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    assert cancel(channel, sink) == Outcome(kind="sent")
    assert not sink.held


def test_a_held_message_that_has_rung_does_not_ring_again_once_it_is_taken_back(
    pusher: Pusher, sink: PushSink
) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    assert len(sink.ring_due(IN_AN_HOUR)) == 1
    assert cancel(channel, sink) == Outcome(kind="sent")
    assert not sink.held


def test_a_repeat_that_the_server_refuses_leaves_the_first_to_be_taken_back(
    pusher: Pusher, sink: PushSink
) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    cancel(channel, sink)
    sink.script(Reply(status=200, body=b'{"id":"x"}'), Reply(status=403))
    assert hold(channel, sink).kind == "sent"


def test_a14_what_the_server_s_own_list_still_has_is_not_taken_back(
    pusher: Pusher, sink: PushSink
) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    sink.keeps = True
    outcome = cancel(channel, sink)
    assert (outcome.kind, outcome.reason) == ("transient", "the push server still holds it")
    assert cancel(channel, sink, held=False).kind == "sent", "a shown one needs no proof"
    sink.keeps = False
    assert cancel(channel, sink) == Outcome(kind="sent")
    assert not sink.ring_due(IN_AN_HOUR)


@pytest.mark.parametrize("odd", [[], {}, 7, None, True])
def test_a14_a_list_with_ids_of_any_kind_is_read(odd: object) -> None:
    line = {"event": "message", "time": 2_000_000_000, "id": odd, "sequence_id": odd}
    mine = {**line, "sequence_id": "ab" * 16}
    for lines, is_there in (([line], False), ([line, mine], True)):
        body = "\n".join(map(json.dumps, lines)).encode()
        assert is_to_come(body, "ab" * 16, 1_900_000_000) is is_there


def test_a14_a_server_that_keeps_what_it_says_it_gave_up_gets_nothing_to_hold(
    pusher: Pusher, sink: PushSink
) -> None:
    channel = pusher(sink.url)
    sink.keeps = True
    assert hold(channel, sink).kind == "permanent"
    assert not to_anna(sink)


@pytest.mark.parametrize("status", [401, 403, 404])
def test_a14_a_list_that_may_not_be_read_is_no_reason_to_ask_for_ever(
    pusher: Pusher, sink: PushSink, status: int
) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    sink.script(Reply(status=200), Reply(status=200), Reply(status=status))
    assert cancel(channel, sink).kind == "sent"


@pytest.mark.parametrize(
    "lines",
    [b"", b"\n\n", b"[" * 9000, b"[1]\n", b'{"event":"message","time":"x","id":"y"}\n'],
)
def test_a14_nonsense_in_the_list_holds_nothing(
    pusher: Pusher, sink: PushSink, lines: bytes
) -> None:
    channel = pusher(sink.url)
    sink.script(Reply(status=200), Reply(status=200), Reply(status=200, body=lines))
    assert cancel(channel, sink).kind == "sent"


@pytest.mark.parametrize(
    "title",
    ["=?utf-8?q?Close_Walnut?=", "Close =?UTF-8?B?V2FsbnV0?= now", "=?", "Zoë =?x?= 🐔", "a=b?c"],
)
def test_a14_a_title_arrives_as_it_is_written(pusher: Pusher, sink: PushSink, title: str) -> None:
    deliver(pusher, sink, title=title)
    assert [one.said["title"] for one in sink.shown(TOPIC)] == [title]


def test_a14_holding_and_taking_back_leave_room_for_messages(
    pusher: Pusher, sink: PushSink
) -> None:
    channel = pusher(sink.url)
    while (outcome := hold(channel, sink)).kind == "sent":
        pass
    assert outcome.kind == "transient"
    assert outcome.retry_after_s == EVERY_S
    assert len(sink.asked.all()) == BURST - KEPT_FOR_MESSAGES
    assert cancel(channel, sink).kind == "transient"
    sent = [channel.deliver(outgoing(f"{sink.url}/{TOPIC}")).kind for _ in range(20)]
    assert sent == ["sent"] * 20, "a message waits for nothing of ours"


def test_a14_a_server_that_asks_for_patience_is_left_alone(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    sink.script(Reply(status=429, headers={"Retry-After": "90"}))
    quiet, loud = outgoing(f"{sink.url}/{TOPIC}"), outgoing(f"{sink.url}/{TOPIC}", priority=4)
    assert channel.deliver(quiet).retry_after_s == 90
    again = channel.deliver(quiet)
    assert (again.kind, again.retry_after_s) == ("transient", 90)
    assert len(sink.asked.all()) == 1
    assert channel.deliver(loud).kind == "sent", "whoever has to go out is told"


def test_a14_requests_come_back_with_time_and_not_with_a_clock_set_back() -> None:
    budget = Budget()
    for _ in range(BURST):
        budget.spend(NOW)
    assert budget.wait_s(NOW, 0) == EVERY_S
    assert budget.wait_s(NOW + timedelta(seconds=EVERY_S), 0) == 0
    assert budget.wait_s(NOW - timedelta(hours=1), 1) == EVERY_S
    assert budget.wait_s(NOW + timedelta(days=1), BURST) == EVERY_S


def test_a_shown_message_disappears(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    hold(channel, sink)
    sink.ring_due(IN_AN_HOUR)
    assert cancel(channel, sink).kind == "sent"
    assert not sink.screen(TOPIC)


def test_it_asks_once_whether_a_server_takes_back(pusher: Pusher, sink: PushSink) -> None:
    channel = pusher(sink.url)
    for _ in range(3):
        hold(channel, sink)
    methods = [asked.method for asked in sink.asked.all()]
    assert methods == ["POST", "DELETE", "GET", *["POST"] * 6]
    probe, deletion, *_ = sink.asked.all()
    assert json.loads(probe.body)["topic"] == RETURN
    assert json.loads(probe.body)["delay"] == str(round(IN_AN_HOUR.timestamp()))
    assert deletion.path == f"/{RETURN}/{PROBE_ID}"


def test_an_old_server_gets_no_message_to_hold(pusher: Pusher) -> None:
    with PushSink(old=True) as sink:
        channel = pusher(sink.url)
        refused = [hold(channel, sink) for _ in range(2)]
        assert (
            refused
            == [
                Outcome(kind="permanent", reason="this push server cannot take a held message back")
            ]
            * 2
        )
        assert not to_anna(sink)
        assert len(sink.asked.all()) == 2  # one probe, remembered
        assert cancel(channel, sink).kind == "permanent"


@pytest.mark.parametrize("status", [405, 401, 302])
def test_a_server_that_refuses_to_take_back_is_remembered(
    pusher: Pusher, sink: PushSink, status: int
) -> None:
    channel = pusher(sink.url)
    sink.script(Reply(status=200, body=b'{"id":"x"}'), Reply(status=status))
    assert [hold(channel, sink).kind for _ in range(2)] == ["permanent"] * 2
    assert not to_anna(sink)


@pytest.mark.parametrize(
    ("replies", "kind"),
    [
        ([Reply(status=502, headers={"Retry-After": "3"})], "transient"),
        ([Reply(status=500)], "transient"),
        ([Reply(status=200, body=b'{"id":"x"}'), Reply(status=503)], "transient"),
        ([Reply(status=401)], "misconfigured"),
    ],
)
def test_a_probe_that_proves_nothing_is_asked_again(
    pusher: Pusher, sink: PushSink, replies: list[Reply], kind: OutcomeKind
) -> None:
    channel = pusher(sink.url)
    sink.script(*replies)
    assert hold(channel, sink).kind == kind
    assert not to_anna(sink)
    assert hold(channel, sink).kind == "sent"


def test_an_unanswered_probe_leaves_nothing_unknown(pusher: Pusher) -> None:
    with RawSink(cut) as raw:
        server = f"http://{HERE}:{raw.port}"
        changes = {"operation": "hold", "rings_at": IN_AN_HOUR}
        outcome = pusher(server).deliver(outgoing(f"{server}/{TOPIC}", **changes))
    assert outcome.kind == "transient"


@pytest.mark.parametrize(
    ("rings_at", "kind"),
    [
        (None, "permanent"),
        (NOW - timedelta(hours=1), "permanent"),
        (NOW + timedelta(seconds=9), "permanent"),
        (NOW + timedelta(seconds=10), "sent"),
    ],
)
def test_it_is_not_held_for_less_than_ten_seconds(
    pusher: Pusher, sink: PushSink, rings_at: Any, kind: OutcomeKind
) -> None:
    assert hold(pusher(sink.url), sink, rings_at=rings_at).kind == kind
    assert len(to_anna(sink)) == (2 if kind == "sent" else 0)


def test_all_requests_of_a_hold_share_one_deadline(pusher: Pusher) -> None:
    reply = b'HTTP/1.1 200 OK\r\nContent-Length: 10\r\n\r\n{"id":"x"}'

    def slow(peer: Any) -> None:
        peer.until(b"\r\n\r\n")
        if peer.hold(QUICK.total_s * 0.6):
            peer.say(reply)

    with RawSink(slow) as raw:
        server = f"http://{HERE}:{raw.port}"
        limits = replace(QUICK, reply_s=9.0)
        changes = {"operation": "hold", "rings_at": IN_AN_HOUR}
        with at_most(QUICK.total_s + 0.3):
            channel = pusher(server, limits=limits)
            outcome = channel.deliver(outgoing(f"{server}/{TOPIC}", **changes))
    assert outcome.kind == "transient"


@pytest.mark.parametrize("target", ["", "../x", "a/b", "x" * 65])
def test_f8_what_is_no_id_is_not_taken_back(pusher: Pusher, sink: PushSink, target: str) -> None:
    assert deliver(pusher, sink, operation="cancel", target_id=target).kind == "permanent"
    assert not sink.asked.all()
