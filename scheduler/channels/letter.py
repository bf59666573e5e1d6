"""A reminder as a mail: what stands in it, and that nothing else can.

The headers are written out here: EmailMessage cuts an id at a colon or a space (L17), and encodes
References to a long domain as if they were words.
"""

import re
from datetime import datetime
from email.header import Header
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from scheduler.alerts.delivery import LOUDEST, Outgoing
from scheduler.channels.wire_text import lines, one_line, shortened

_BARE_ADDRESS = re.compile(r"[!-?A-~]+@[!-?A-~]+")
_MARKS = re.compile(r'[<>()\[\]",;:\\]')
_PLAIN_NAME = re.compile(r"[A-Za-z0-9 ]+")
# Short enough to stay one line that every server takes, even as one long word (RFC 5321: 998).
_LONGEST_ADDRESS = 254
_HEADER_OCTETS = 200
# The body in seven bits: no relay has to rewrite it, whatever it can carry.
_WIRE = SMTP.clone(cte_type="7bit")


def usable(address: str) -> bool:
    """Whether this is one bare ASCII address, with nothing in it that ends a line or a command."""
    bare = bool(_BARE_ADDRESS.fullmatch(address)) and len(address) <= _LONGEST_ADDRESS
    return bare and not _MARKS.search(address)


def composed(outgoing: Outgoing, sender: str, sent_at: datetime) -> bytes:
    """The mail as it goes on the wire; no name or title in it can add a header.

    `sender` and the address are usable, the ids hex.
    """
    message, domain = outgoing.message, sender.rpartition("@")[2]
    thread = f"<{outgoing.thread_id}@{domain}>"
    headers = {
        "From": sender,
        "To": _recipient(one_line(outgoing.person_name), outgoing.address),
        "Subject": _subject(one_line(message.stem)),
        "Date": format_datetime(sent_at),
        "Message-ID": f"<{outgoing.message_id}@{domain}>",
        "In-Reply-To": thread,
        "References": thread,
        "Auto-Submitted": "auto-generated",  # RFC 3834: no holiday answers
        "X-Auto-Response-Suppress": "OOF, AutoReply",  # the same for Exchange
    }
    if message.priority == LOUDEST:
        headers |= {"Importance": "high", "X-Priority": "1"}
    head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
    content = EmailMessage(policy=_WIRE)
    parts = (one_line(message.title), lines(message.body), one_line(message.link))
    content.set_content("\n\n".join(part for part in parts if part) + "\n")
    return head.encode("ascii") + content.as_bytes()


def _recipient(name: str, address: str) -> str:
    if not name:
        return address
    if _PLAIN_NAME.fullmatch(name) and len(name) <= _HEADER_OCTETS:
        return f"{name} <{address}>"
    return f"{_encoded('To', name)}\r\n <{address}>"


def _subject(stem: str) -> str:
    # What looks encoded already must not be decoded by the reader.
    if stem.isascii() and "=?" not in stem and len(stem) <= _HEADER_OCTETS:
        return stem
    return _encoded("Subject", stem)


def _encoded(header: str, text: str) -> str:
    short = shortened(text, _HEADER_OCTETS)
    return Header(short, "utf-8", header_name=header).encode(linesep="\r\n")
