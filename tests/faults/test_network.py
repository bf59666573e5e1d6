"""N1–N15 of FAULTS.md: what servers and the network do to us, seen from phone and mailbox.

The channels alone are tested in tests/channels; here the whole watch runs. On the house's day:
`now` 16:18:29, `next` 16:33:40, everybody 16:43:40, 16:58:40, 17:13:40, hourly from 18:13:40.
"""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.channels.push import SHORT_BODY_CHARACTERS
from scheduler.service.data_place import DataPlace
from scheduler.service.health.report_health import report_health
from tests.faults.harm import OWN_MOUNTS, needs_own_mounts
from tests.faults.house import ONE_COOP, QUIET_MORNINGS, SITE, TOPIC_SECRET, House
from tests.sinks.authority import HERE, Authority
from tests.sinks.push import Reply
from tests.sinks.raw import (
    GARBAGE,
    Behaviour,
    RawSink,
    dribble,
    silence,
    starttls_stripped,
    starttls_then,
)
from tests.sinks.smtp import CUT, SmtpSink
from tests.sinks.waiting import PATIENCE_S
from tests.unhurried import unhurried

Build = Callable[..., House]

HEADS_UP = "Lock up at 16:18: Walnut, 12 hens, by 16:33"
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
AGAIN = "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
NEXT = "Nobody has said it is shut: Walnut, 12 hens, due 16:33"
EVERYBODY = "Is the door shut? Walnut, 12 hens, due 16:33"
ONCE_MORE = "IS THE DOOR SHUT? Walnut, 12 hens, due 16:33"
HOURLY = "Still not confirmed shut: Walnut, 12 hens, due 16:33"
ALL_MAIL = "Reminders by mail are not reaching anybody"
ALL_PUSH = "Reminders by push are not reaching anybody"
NO_ANA, NO_LEA = (f"Reminders by mail are not reaching {name}" for name in ("Ana", "Lea"))
_ORDER = [
    HEADS_UP,
    NOW,
    AGAIN,
    NEXT,
    EVERYBODY,
    ONCE_MORE,
    HOURLY,
    NO_ANA,
    NO_LEA,
    ALL_MAIL,
    ALL_PUSH,
]
ANA, LEA = "ana@example.org", "lea@example.org"

MAIL = """
[mail]
host = "{host}"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""
SILENT = "127.0.53.53"
KIM_S_TOPIC = f"kim-{TOPIC_SECRET}"
SOON_S = 60  # health knows within, of the driven clock


def _people(**ways: str) -> str:
    """Persons as a profile has them: `_people(Ana="push mail")`."""
    found = []
    for name, listed in ways.items():
        found.append(f'[[person]]\nname = "{name}"')
        if "push" in listed:
            found.append(f'push = "{{push}}/{name.lower()}-{{secret}}"')
        if "mail" in listed:
            found.append(f'mail = "{name.lower()}@example.org"')
    return "\n".join(found)


USUAL = _people(Ana="push", Kim="push mail")
ANA_BY_MAIL = _people(Ana="mail", Kim="push")


def _body(people: str, *, port: int | None = None, host: str = HERE, coops: str = ONE_COOP) -> str:
    """A profile whose mail goes to the house's sink, or to another port."""
    mail = MAIL.replace("{host}", host)
    mail = mail if port is None else mail.replace("{mail}", str(port))
    return SITE + coops + QUIET_MORNINGS + people + mail


def _running(build: Build, body: str, **settings: object) -> House:
    """A house with a quick tick that has done what there is to do at noon."""
    house = build(body=body, period_s=0.03, **settings)
    house.start()
    house.settle()
    return house


def _at(house: House, clock: str) -> None:
    """That time, with whatever its outcomes call for."""
    house.at(clock)
    house.settle()


def _wait_s(house: House, seconds: float, since: int) -> None:
    """So many driven seconds after that instant, as the journal counts."""
    house.set_clock(datetime.fromtimestamp(since, UTC) + timedelta(seconds=seconds))
    house.settle()


def _mailed(house: House, name: str) -> list[str]:
    """The titles of the person's mails."""
    mails = house.mails(f"{name}@example.org")
    return [mail.parsed.get_content().splitlines()[0] for mail in mails]


def _told(house: House, *names: str) -> dict[str, list[str]]:
    """Everything that reached these people so far; what came together stands in no order."""
    told = {}
    for name in names:
        told[name] = sorted(house.phone(name), key=_ORDER.index)
        told[f"{name}'s mail"] = sorted(_mailed(house, name), key=_ORDER.index)
    return {who: titles for who, titles in told.items() if titles}


def _outcomes(house: House, step: str, channel: str = "mail") -> list[str]:
    """What came of each attempt at that step."""
    return [outcome for outcome, _ in _attempts(house, step, channel)]


def _attempts(house: House, step: str, channel: str = "mail") -> list[tuple[str, int]]:
    """Outcome and beginning of each attempt at that step."""
    rows = house.rows(
        "SELECT a.outcome, a.began_at FROM attempt a JOIN delivery d ON d.id = a.delivery_id "
        "WHERE d.step = ? AND d.channel = ? AND d.operation = 'send' ORDER BY a.number",
        step,
        channel,
    )
    return [(row[0], row[1]) for row in rows]


def _states(house: House, step: str, channel: str = "mail") -> list[str]:
    query = "SELECT state FROM delivery WHERE step = ? AND channel = ? ORDER BY id"
    return [row[0] for row in house.rows(query, step, channel)]


def _channel_faults(house: House) -> list[str]:
    """What health says of mail and push."""
    health = report_health(DataPlace(house.data), house.household(), house.readings)
    said = " ".join((*health.faults, *health.notes))
    assert "@" not in said, "health names an address"
    ways = health.reach.ways
    found = list(dict.fromkeys(f"{way.channel}: {way.failed}" for way in ways if way.failed))
    assert all(one.partition(": ")[2] in said for one in found), said
    return found


def _assert_bad(house: House, fault: str, due: str) -> None:
    """O9, its first half."""
    assert _channel_faults(house) == [fault]
    assert (house.now - house.local(due)).total_seconds() < SOON_S, "health knows too late"


def _mail_fault(reason: str) -> str:
    return f"mail: {reason}"


def _mend(house: House) -> None:
    """The mail server is there again; returns when the watch knows."""
    before = house.pulse
    assert before
    house.write_profile(_body(USUAL))
    house.wait(
        lambda: house.pulse and house.pulse.profile_number > before.profile_number, "not reloaded"
    )


@contextmanager
def _nobody_listens() -> Iterator[int]:
    """A port of ours that refuses every connection."""
    with socket.socket() as taken:
        taken.bind((HERE, 0))
        yield taken.getsockname()[1]


# -- mail that does not get through -----------------------------------------------------------


@unhurried
def test_n1_nobody_listens_for_mail(build: Build) -> None:
    with _nobody_listens() as port:
        house = _running(build, _body(USUAL, port=port))
        for clock in ("16:19", "16:27", "16:34"):
            _at(house, clock)
        assert _told(house, "ana", "kim") == {"ana": [NOW, AGAIN], "kim": [NEXT]}, "O6"
        _assert_bad(house, _mail_fault("the connection was refused"), "16:33:40")
        for number, wait_s in enumerate((15, 30), start=1):
            (_, began), *others = reversed(_attempts(house, "next"))
            assert len(others) == number - 1
            _wait_s(house, 0.8 * wait_s - 2, since=began)
            assert len(_attempts(house, "next")) == number, "too early"
            _wait_s(house, wait_s + 1, since=began)
            assert len(_attempts(house, "next")) == number + 1, "too late"
    _mend(house)
    ended = house.now
    *_, (_, began) = _attempts(house, "next")
    _wait_s(house, 46, since=began)
    assert _mailed(house, "kim") == []
    _wait_s(house, SOON_S, since=int(ended.timestamp()))
    assert _mailed(house, "kim") == [NEXT]
    assert _outcomes(house, "next") == ["transient"] * 3 + ["sent"]
    assert _channel_faults(house) == [], "O9: health is still bad"


@pytest.mark.parametrize(
    ("behaviour", "limits", "lasts_s"),
    [
        pytest.param(
            silence, {"total_s": 5.0, "connect_s": 1.0, "reply_s": 2.0}, 2.0, id="n2-silent"
        ),
        pytest.param(
            dribble(), {"total_s": 3.0, "connect_s": 1.0, "reply_s": 2.0}, 3.0, id="n3-trickle"
        ),
    ],
)
@unhurried
def test_n2_n3_a_silent_or_slow_mail_server(
    build: Build, behaviour: Behaviour, limits: dict[str, float], lasts_s: float
) -> None:
    with RawSink(behaviour) as sink:
        house = _running(build, _body(USUAL, port=sink.port), limits=limits)
        _at(house, "16:19")
        house.set_clock(house.local("16:34"))
        sink.connections.wait()
        began_s = time.monotonic()
        house.push.wait_shown(KIM_S_TOPIC)
        # The other way goes on meanwhile, for what comes later too.
        house.say(count=12)
        house.push.wait_shown(KIM_S_TOPIC, 2)
        assert _outcomes(house, "next") == [None], "O6: push went out after mail only"
        house.wait(lambda: _outcomes(house, "next") == ["transient"], "no outcome")
        assert lasts_s - 0.3 < time.monotonic() - began_s < lasts_s + 1.5
    _assert_bad(house, _mail_fault("no answer from the mail server (greeting)"), "16:33:40")


@pytest.mark.parametrize("stage", ["RCPT", "DATA"])
def test_n4_greylisted_and_then_accepted(build: Build, stage: str) -> None:
    house = _running(build, _body(ANA_BY_MAIL))
    house.smtp.script(stage, "450 4.2.0 greylisted, come back in a minute")  # type: ignore[arg-type] # parametrised
    _at(house, "16:19")
    [(outcome, began)] = _attempts(house, "now")
    assert (outcome, _mailed(house, "ana")) == ("transient", [])
    _wait_s(house, 16, since=began)
    assert _mailed(house, "ana") == [NOW]
    assert _outcomes(house, "now") == ["transient", "sent"]
    # The oracle compares the id with that of the key; here the two copies with each other.
    ids = [mail.message_id for mail in house.smtp.mails.all()]
    assert len(ids) == (2 if stage == "DATA" else 1)
    assert len(set(ids)) == 1
    assert _channel_faults(house) == []
    assert house.phone("kim") == [], "greylisting is no trouble"


def test_n5_the_address_of_the_person_on_duty_is_refused(build: Build) -> None:
    people = _people(Ana="mail", Kim="push", Lea="push")
    house = _running(build, _body(people))
    house.smtp.script("RCPT", "550 5.1.1 <ana@example.org> unknown", address=ANA, always=True)
    _at(house, "16:19")
    assert _told(house, "ana", "kim", "lea") == {"kim": [NOW, NO_ANA], "lea": [NO_ANA]}
    assert _states(house, "now") == ["dead"]
    [(_, refused)] = _attempts(house, "now")
    [(_, passed_on)] = _attempts(house, "now-for-ana", "push")
    assert passed_on - refused <= 1, "later than one tick"
    [reminder] = [one for one in house.phone_events("kim") if one.said["title"] == NOW]
    assert reminder.text.startswith("This did not get through to Ana by mail, so you")
    _assert_bad(house, _mail_fault("the mail server refused: recipient (550)"), "16:18:29")
    _wait_s(house, 400, since=refused)
    assert len(_attempts(house, "now")) == 1, "a dead address is tried again"


def test_n5_the_refused_address_is_one_of_two_ways(build: Build) -> None:
    people = _people(Ana="push mail", Kim="push mail")
    house = _running(build, _body(people))
    house.smtp.script("RCPT", "550 5.1.1 unknown", address=ANA, always=True)
    _at(house, "16:19")
    _at(house, "16:27")
    assert _told(house, "ana", "kim") == {"ana": [NOW, AGAIN], "kim": [AGAIN, NO_ANA]}
    _assert_bad(house, _mail_fault("the mail server refused: recipient (550)"), "16:26:04")
    assert _states(house, "again") == ["dead"]


@pytest.mark.parametrize(
    ("reply", "outcomes", "states"),
    [
        ("451 4.3.0 later", ["transient", "sent"], ["sent"]),
        ("554 5.6.0 no such content", ["permanent"], ["dead"]),
    ],
)
def test_n6_the_mail_itself_is_refused(
    build: Build, reply: str, outcomes: list[str], states: list[str]
) -> None:
    house = _running(build, _body(ANA_BY_MAIL))
    house.smtp.script("DATA", reply)
    _at(house, "16:19")
    [(_, began)] = _attempts(house, "now")
    _assert_bad(house, _mail_fault(f"the mail server refused: end ({reply[:3]})"), "16:18:29")
    _wait_s(house, 16, since=began)
    assert (_outcomes(house, "now"), _states(house, "now")) == (outcomes, states)
    # The next step goes out as ever.
    _at(house, "16:27")
    assert _mailed(house, "ana")[-1] == AGAIN
    assert _channel_faults(house) == []


@unhurried
def test_n7_the_password_is_wrong(build: Build) -> None:
    people = _people(Ana="push", Kim="push mail", Lea="mail", Max="push")
    house = _running(build, _body(people), environment={"DUSKFOLD_MAIL_PASSWORD": "hay"})
    _at(house, "16:19")
    _at(house, "16:34")
    told = _told(house, "ana", "kim", "lea", "max")
    assert {who: titles.count(ALL_MAIL) for who, titles in told.items()} == {
        "ana": 1,
        "kim": 1,
        "max": 1,
    }
    _assert_bad(house, _mail_fault("the mail server refused: login (535)"), "16:33:40")
    for clock in ("16:44", "16:59", "17:14", "17:20", "17:25"):
        _at(house, clock)
    told = _told(house, "ana", "kim", "lea", "max")
    for who in ("ana", "kim", "max"):
        assert told[who].count(ALL_MAIL) == 1
    assert (told["max"].count(EVERYBODY), told["max"].count(ONCE_MORE)) == (1, 2), (
        "told again what everybody was told"
    )
    assert (told["ana"].count(EVERYBODY), told["ana"].count(ONCE_MORE)) == (1, 2), (
        "told again what everybody was told"
    )
    assert "lea" not in told
    assert house.smtp.mails.all() == []
    logins = [one for one in house.smtp.commands.all() if one.startswith("AUTH")]
    assert len(logins) == 1 + 3, "not one login for each of the four steps"
    assert "hay" not in house.log


def test_n8_one_of_several_recipients_is_refused(build: Build) -> None:
    people = _people(Ana="push mail", Kim="push mail", Lea="mail")
    house = _running(build, _body(people))
    house.smtp.script("RCPT", "550 5.1.1 unknown", address=LEA, always=True)
    for clock in ("16:19", "16:27", "16:34", "16:44"):
        _at(house, clock)
    assert _told(house, "ana", "kim", "lea") == {
        "ana": [NOW, AGAIN, EVERYBODY, NO_LEA],
        "ana's mail": [AGAIN, EVERYBODY],
        "kim": [NEXT, EVERYBODY, NO_LEA],
        "kim's mail": [NEXT, EVERYBODY],
    }
    assert sorted(_states(house, "everybody-1")) == ["dead", "sent", "sent"]


@pytest.mark.parametrize("how", ["cut", "late"])
@unhurried
def test_n9_the_mail_is_taken_and_nobody_says_so(build: Build, how: str) -> None:
    limits = {"total_s": 2.0, "connect_s": 0.5, "reply_s": 0.5}
    house = _running(build, _body(ANA_BY_MAIL), limits=limits)
    released = threading.Event()

    def hold(_: object) -> None:
        released.wait(PATIENCE_S)

    if how == "cut":
        house.smtp.script("DATA", CUT)
    else:
        house.smtp.on_data = hold
    _at(house, "16:19")
    [(outcome, began)] = _attempts(house, "now")
    assert outcome == "unknown"
    _assert_bad(house, _mail_fault("no answer after the whole mail was sent"), "16:18:29")
    released.set()  # the 250 comes when nobody waits for it
    _wait_s(house, 16, since=began)
    assert _outcomes(house, "now") == ["unknown", "sent"]
    ids = [mail.message_id for mail in house.smtp.mails.all()]
    assert len(ids) == 2
    assert len(set(ids)) == 1, "the second copy has another id"
    assert _states(house, "now") == ["sent"]
    # And one whose doubt nobody resolves before the door is shut.
    house.smtp.script("DATA", CUT, always=True)
    _at(house, "16:27")
    house.say(count=12)
    house.smtp.heal()
    _at(house, "16:45")
    assert (_outcomes(house, "again"), _states(house, "again")) == (["unknown"], ["perhaps sent"])


# -- a mail server that is not safe to talk to ------------------------------------------------


def _assert_mail_is_off(house: House, reason: str) -> None:
    """Both with push hear of it once, the reminder goes to the next one, nothing by mail."""
    _at(house, "16:19")
    told = _told(house, "ana", "kim", "max")
    assert told == {"kim": [NOW, ALL_MAIL], "max": [ALL_MAIL]}
    [trouble] = [one for one in house.phone_events("max") if one.said["title"] == ALL_MAIL]
    assert reason in trouble.text
    assert _outcomes(house, "now") == ["misconfigured"]
    _assert_bad(house, _mail_fault(reason), "16:18:29")
    assert house.smtp.mails.all() == []


WITH_MAX = _people(Ana="mail", Kim="push", Max="push")


def test_n10_starttls_is_not_offered(build: Build) -> None:
    with SmtpSink(Authority(), security="plain") as sink:
        house = _running(build, _body(WITH_MAX, port=sink.port))
        _assert_mail_is_off(house, "the mail server offers no secured connection")
        assert {one.split()[0] for one in sink.commands.all()} <= {"EHLO", "QUIT"}
        assert sink.mails.all() == []


def test_n10_starttls_is_taken_away_by_somebody_in_between(build: Build) -> None:
    heard: list[bytes] = []
    with RawSink(starttls_stripped(heard)) as sink:
        house = _running(build, _body(WITH_MAX, port=sink.port))
        _assert_mail_is_off(house, "the mail server offers no secured connection")
    assert {one.split()[0].upper() for one in heard} <= {b"EHLO", b"QUIT"}, "said in the clear"


def test_n10_garbage_instead_of_a_handshake(build: Build) -> None:
    with RawSink(starttls_then(GARBAGE)) as sink:
        house = _running(build, _body(WITH_MAX, port=sink.port))
        _assert_mail_is_off(house, "the server does not speak TLS as it should")


_DAY = timedelta(days=1)


@pytest.mark.parametrize(
    ("name", "valid", "said"),
    [
        pytest.param(HERE, (-9, -1), "has expired", id="expired"),
        pytest.param("mail.example.net", (-1, 9), "is for another name", id="name"),
        pytest.param(HERE, (2, 9), "is not valid yet; perhaps the clock of this", id="early"),
    ],
)
def test_n11_a_certificate_that_is_not_right(
    build: Build, tmp_path: Path, name: str, valid: tuple[int, int], said: str
) -> None:
    (other := tmp_path / "other").mkdir()
    authority, today = Authority(), datetime.now(UTC)
    first, last = (today + days * _DAY for days in valid)
    context = authority.server(name, not_before=first, not_after=last)
    with SmtpSink(authority, context=context) as sink:
        house = _running(
            build,
            _body(WITH_MAX, port=sink.port),
            environment={"SSL_CERT_FILE": str(authority.file(other))},
        )
        whole = {"is not": f"{said} machine is wrong"}.get(said[:6], said)
        _assert_mail_is_off(house, f"the server's certificate {whole}")
        assert {one.split()[0] for one in sink.commands.all()} <= {"EHLO"}


def test_n11_a_certificate_of_an_unknown_authority(build: Build, tmp_path: Path) -> None:
    (other := tmp_path / "other").mkdir()
    trusted = {"SSL_CERT_FILE": str(Authority().file(other))}
    house = _running(build, _body(WITH_MAX), environment=trusted)
    reason = "the server's certificate is not signed by anybody this machine trusts"
    _assert_mail_is_off(house, reason)
    assert {one.split()[0] for one in house.smtp.commands.all()} <= {"EHLO"}


# -- push -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reply", "first_s", "last_s"),
    [
        pytest.param(Reply(status=429, headers={"Retry-After": "90"}), 88, 91, id="429"),
        pytest.param(Reply(status=500), 10, 16, id="500"),
    ],
)
def test_n12_the_push_server_is_busy_or_broken(
    build: Build, reply: Reply, first_s: float, last_s: float
) -> None:
    house = _running(build, _body(USUAL))
    house.push.script(reply)
    _at(house, "16:19")
    [(outcome, began)] = _attempts(house, "now", "push")
    assert (outcome, house.phone("ana")) == ("transient", [])
    reason = f"the push server is busy or broken ({reply.status})"
    _assert_bad(house, f"push: {reason}", "16:18:29")
    _wait_s(house, first_s, since=began)
    assert house.phone("ana") == [], "too early"
    _wait_s(house, last_s, since=began)
    assert _told(house, "ana", "kim") == {"ana": [NOW]}
    assert _channel_faults(house) == []


def test_n12_the_push_server_finds_it_too_long(build: Build) -> None:
    names = [f"House {number} behind the long hedge" for number in range(16)]
    coops = "".join(f'[[coop]]\nname = "{name}"\n' for name in names)
    coops += "".join(
        f'[[flock]]\nname = "{name}"\ncoop = "{name.lower().replace(" ", "-")}"\nhens = 12\n'
        for name in names
    )
    house = _running(build, _body(USUAL, coops=coops))
    house.push.script(Reply(status=413))
    _at(house, "16:19")
    [reminder] = house.phone_events("ana")
    assert reminder.said["title"] == "Lock up now: 16 houses, 192 hens, by 16:33"
    assert len(reminder.text) == SHORT_BODY_CHARACTERS
    assert _outcomes(house, "now", "push") == ["sent"]
    assert _channel_faults(house) == []


@pytest.mark.parametrize(
    ("reply", "reason"),
    [
        pytest.param(
            Reply(status=301, headers={"Location": "/"}),
            "the push server has moved (301)",
            id="redirect",
        ),
        pytest.param(
            Reply(status=200, body=b'{"code":40001,"error":"invalid"}'),
            "what answered there is not a push server",
            id="200-error",
        ),
    ],
)
@unhurried
def test_n12_what_answers_is_no_push_server(build: Build, reply: Reply, reason: str) -> None:
    people = _people(Ana="push mail", Kim="push mail")
    house = _running(build, _body(people))
    asked = len(house.push.asked.all())
    house.push.script(reply, always=True)
    _at(house, "16:19")
    # `now` goes to Ana by push alone: that fails, so by mail, and to Kim.
    assert _told(house, "ana", "kim") == {
        "ana's mail": [NOW, ALL_PUSH],
        "kim's mail": [NOW, ALL_PUSH],
    }
    assert _outcomes(house, "now", "push") == ["misconfigured"]
    _assert_bad(house, f"push: {reason}", "16:18:29")
    posts = [one for one in house.push.asked.all()[asked:] if one.method == "POST"]
    assert len(posts) == 1, "redirects are not followed"
    house.push.heal()
    _at(house, "16:34")
    assert house.phone("ana") == [NEXT]
    assert _channel_faults(house) == []


# -- names, everything at once, mailboxes -----------------------------------------------------


def test_n13_the_mail_server_s_name_is_not_found(build: Build) -> None:
    house = _running(build, _body(USUAL, host="mail.duskfold-test.invalid"))
    for clock in ("16:19", "16:27", "16:34"):
        _at(house, clock)
    assert _told(house, "ana", "kim") == {"ana": [NOW, AGAIN], "kim": [NEXT]}, "O6"
    assert _outcomes(house, "next") == ["transient"]
    [fault] = _channel_faults(house)
    assert fault in {
        _mail_fault("the server's name was not found"),
        _mail_fault("no connection was made in time"),
    }
    _mend(house)
    *_, (_, began) = _attempts(house, "next")
    _wait_s(house, 16, since=began)
    assert _mailed(house, "kim") == [NEXT]
    assert _channel_faults(house) == []


@unhurried
@pytest.mark.kernel
def test_n13_the_look_up_never_ends(build: Build, tmp_path: Path) -> None:
    needs_own_mounts()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as silent:
        try:
            silent.bind((SILENT, 53))
        except PermissionError:
            pytest.skip("the port of name servers is not ours to listen on")
        (names := tmp_path / "resolv.conf").write_text(f"nameserver {SILENT}\n")
        inside = 'mount --bind "$0" /etc/resolv.conf && exec "$@"'
        wrap = [*OWN_MOUNTS, "sh", "-c", inside, str(names)]
        house = _running(build, _body(USUAL, host="mail.example.net"), wrap=wrap)
        for clock in ("16:19", "16:27"):
            _at(house, clock)
        house.set_clock(house.local("16:34"))
        assert silent.recv(512), "nobody was asked"
        house.push.wait_shown(KIM_S_TOPIC)
        assert _outcomes(house, "next") == [None], "O6: push went out after mail only"
        house.wait(lambda: _outcomes(house, "next") != [None], "no bound", timeout_s=3)
    _assert_bad(house, _mail_fault("no connection was made in time"), "16:33:40")


@unhurried
def test_n14_everything_is_down_for_two_hours(build: Build) -> None:
    house = _running(build, _body(USUAL))
    _at(house, "16:17")
    house.push.script(Reply(status=503), always=True)
    house.push.drop_streams()
    house.smtp.script("EHLO", CUT, always=True)
    for clock in ("16:19", "16:27", "16:34", "16:44", "16:59", "17:14", "17:45", "18:14", "18:17"):
        _at(house, clock)
        assert len(_channel_faults(house)) >= 1
    assert _told(house, "ana", "kim") == {"ana": [HEADS_UP]}
    house.push.heal()
    house.smtp.heal()
    _at(house, "18:23")
    assert _told(house, "ana", "kim") == {
        "ana": [HEADS_UP, HOURLY],
        "kim": [ONCE_MORE],
        "kim's mail": [ONCE_MORE],
    }
    assert _states(house, "everybody-3", "push") == ["dropped", "sent"], "the highest step only"
    assert _channel_faults(house) == []
    rings = {datetime.fromtimestamp(at, house.zone) for at, _ in house.push.held.values()}
    assert {f"{at:%H:%M}" for at in rings} == {"19:18", "19:38"}, "what is held is out of date"


@unhurried
def test_n15_a_mailbox_that_drops_repeated_ids_has_every_step(build: Build) -> None:
    house = _running(build, _body(ANA_BY_MAIL))
    for clock in ("15:49", "16:19", "16:27", "16:44", "16:59", "17:14", "18:14"):
        house.smtp.script("DATA", CUT)  # so that each comes twice
        _at(house, clock)
        _at(house, f"{clock}:17")
    mails = house.smtp.mails.all()
    mailbox = {mail.message_id: mail.parsed for mail in mails}
    titles = [mail.get_content().splitlines()[0] for mail in mailbox.values()]
    assert titles == [HEADS_UP, NOW, AGAIN, EVERYBODY, ONCE_MORE, ONCE_MORE, HOURLY]
    assert len(mails) == 2 * len(titles)
    assert len({mail["References"] for mail in mailbox.values()}) == 1, "not one thread"
