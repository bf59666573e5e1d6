"""What stands in a reminder mail, for any words."""

from email import message_from_bytes
from email.header import decode_header, make_header
from email.message import EmailMessage
from email.policy import default as modern

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.channels.letter import composed, usable
from scheduler.channels.wire_text import lines, one_line, shortened
from tests.channels.rigs import MESSAGE, NOW, SENDER, outgoing

ANNA = "anna@example.net"
words = st.text(max_size=45)  # shorter than what is shortened


def wire(sender: str = SENDER, address: str = ANNA, **changes: object) -> bytes:
    """The mail's octets."""
    return composed(outgoing(address, **changes), sender, NOW)


def read(octets: bytes) -> EmailMessage:
    """The mail as a mail program reads it."""
    return message_from_bytes(octets, _class=EmailMessage, policy=modern)


def content(mail: EmailMessage) -> str:
    """Its text."""
    return str(mail.get_content()).replace("\r\n", "\n")


def shown(octets: bytes, header: str) -> str:
    """A header, decoded by RFC 2047; Python's own address parser puts spaces between the words."""
    return str(make_header(decode_header(message_from_bytes(octets)[header])))


def test_its_headers_are_the_ones_a_reminder_needs() -> None:
    mail = read(wire())
    ours = outgoing(ANNA)
    assert dict(mail.items()) == {
        "From": SENDER,
        "To": f"Anna Weidner <{ANNA}>",
        "Subject": MESSAGE.stem,
        "Date": "Tue, 03 Nov 2026 16:40:00 +0000",
        "Message-ID": f"<{ours.message_id}@example.org>",
        "In-Reply-To": f"<{ours.thread_id}@example.org>",
        "References": f"<{ours.thread_id}@example.org>",
        "Auto-Submitted": "auto-generated",
        "X-Auto-Response-Suppress": "OOF, AutoReply",
        "Content-Type": 'text/plain; charset="utf-8"',
        "Content-Transfer-Encoding": "7bit",
        "MIME-Version": "1.0",
    }


@pytest.mark.parametrize("priority", [1, 2, 3, 4, 5])
def test_only_the_loudest_is_important(priority: int) -> None:
    mail = read(wire(priority=priority))
    assert (mail["Importance"] == "high") == (mail["X-Priority"] == "1") == (priority == 5)


def test_the_title_comes_first_and_the_link_last() -> None:
    text = content(read(wire(link="https://example.org/tonight")))
    assert text.split("\n\n") == [MESSAGE.title, MESSAGE.body, "https://example.org/tonight\n"]


@given(name=words, title=words, body=words, stem=words)
def test_f7_f8_any_words_make_a_well_formed_mail(
    name: str, title: str, body: str, stem: str
) -> None:
    octets = wire(person_name=name, title=title, body=body, stem=stem)
    assert octets.count(b"\n") == octets.count(b"\r\n") == octets.count(b"\r")
    assert octets.isascii()
    assert max(map(len, octets.split(b"\r\n"))) <= 998
    mail = read(octets)
    assert not mail.defects
    assert len(mail.keys()) == len(read(wire()).keys())
    assert mail["To"].addresses[0].addr_spec == ANNA
    assert shown(octets, "To").removesuffix(f" <{ANNA}>") == (one_line(name) or ANNA)
    assert shown(octets, "Subject") == one_line(stem or title)
    text = content(mail)
    assert text.startswith(one_line(title))
    assert lines(body) in text


@pytest.mark.parametrize(
    "name", ["Weidner, Anna", 'Anna "Hen" W.', "Ünal, Änne (Walnut)", "=?utf-8?q?a?=", "é" * 5000]
)
def test_f7_names_keep_their_marks(name: str) -> None:
    octets = wire(person_name=name, stem=name)
    for text in (shown(octets, "To").removesuffix(f" <{ANNA}>"), shown(octets, "Subject")):
        assert text == name or (text.endswith("…") and name.startswith(text[:-1]))


@pytest.mark.parametrize("length", [1, 40, 60, 120])
def test_l17_ids_stand_whole_on_the_wire_for_any_domain(length: int) -> None:
    sender = "coop@" + "d" * length + ".example.org"
    octets = wire(sender=sender)
    ours = outgoing(ANNA)
    domain = sender.partition("@")[2]
    for header, mark in (
        ("Message-ID", ours.message_id),
        ("In-Reply-To", ours.thread_id),
        ("References", ours.thread_id),
    ):
        assert f"\r\n{header}: <{mark}@{domain}>\r\n".encode() in octets


@pytest.mark.parametrize(
    ("address", "is_usable"),
    [
        (ANNA, True),
        ("a.b+coop@sub.example.org", True),
        ("o'neil@example.org", True),
        ("a@b@c", False),
        ("", False),
        ("anna", False),
        ("@example.org", False),
        ("anna@", False),
        ("anna @example.org", False),
        ("anna@example.org\r\nDATA", False),
        ("anna@example.org\n", False),
        ("<anna@example.org>", False),
        ("anna@example.org,ben@example.org", False),
        ("änna@example.org", False),
    ],
)
def test_f8_an_address_is_one_bare_address(address: str, is_usable: bool) -> None:
    assert usable(address) is is_usable


@given(text=st.text(), octets=st.integers(3, 60))
def test_a_shortened_text_fits_and_is_a_beginning(text: str, octets: int) -> None:
    short = shortened(text, octets)
    assert len(short.encode()) <= octets
    assert short == text or text.startswith(short.removesuffix("…"))
