"""A message as a phone's browser reads it: one JSON, which a browser can also show by itself.

It has the form of Declarative Web Push (8030 is its mark): where that is known, the message is
shown even if the page's worker fails; elsewhere the worker reads it.
"""

import json
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from math import ceil
from typing import Any

from scheduler.alerts.delivery import LOUD, QUIET, Button, Message, Outgoing
from scheduler.channels.wire_text import lines, one_line, shortened
from scheduler.wording.channels.phone_words import PhoneSays
from scheduler.wording.words import every, language_tag

# Firefox on Android goes over a bridge that takes a sealed body of 2,744 octets at most (autopush,
# docs/http.md); 103 of it are the header, the delimiter and the seal.
TEXT_OCTETS = 2500
PADDED_TO = 1024
TITLE_OCTETS = 250
LABEL_OCTETS = 60
BUTTONS = 2  # what browsers show at most
_VERBS = {"all-in", "not-counted"}  # finding out who is missing is behind the tap
LEAST_TTL_S = 120
AFTER_STALE_S = 60
USUAL_TTL_S = 4 * 3600


def content(outgoing: Outgoing, *, receipt: str, home: str, now: datetime) -> dict[str, Any]:
    """What the worker is given; a tap on a message without a link opens `home`."""
    message = outgoing.message
    link = one_line(message.link) or home
    title = shortened(one_line(message.title), TITLE_OCTETS)
    return {
        "web_push": 8030,
        "mutable": True,
        "notification": {
            "title": title,
            "body": lines(message.body).strip(),
            "navigate": link,
            "tag": tag_of(outgoing),
            "lang": language_tag(),
            "dir": "auto",
            "silent": message.priority <= QUIET,
            "data": {
                "at": int(now.timestamp()),
                "receipt": receipt,
                "loud": message.priority >= LOUD,
                "link": link,
                "answers": list(_answers(message)),
                "says": {name: says(time="{time}") for name, says in every(PhoneSays).items()},
            },
        },
    }


def text_of(
    outgoing: Outgoing, *, receipt: str, home: str, now: datetime, most: int = TEXT_OCTETS
) -> bytes:
    """The same as octets, at most so many: its body gets shorter; if need be it has no buttons.

    Title, link and receipt always stay.
    """
    message = outgoing.message
    body = lines(message.body).strip()

    def text(body: str, buttons: tuple[Button, ...]) -> bytes:
        shown = replace(outgoing, message=replace(message, body=body, buttons=buttons))
        said = content(shown, receipt=receipt, home=home, now=now)
        whole = json.dumps(said, ensure_ascii=False, separators=(",", ":"))
        return whole.encode("utf-8", "replace")

    def cut(buttons: tuple[Button, ...]) -> bytes:
        def length(octets: int) -> int:
            return len(text(shortened(body, octets), buttons))

        room = bisect_right(range(len(body.encode()) + 1), most, key=length)
        return text(shortened(body, max(room - 1, 0)), buttons)

    whole = text(body, message.buttons)
    if len(whole) <= most:
        return whole
    shorter = cut(message.buttons)
    return shorter if len(shorter) <= most else cut(())


def padded_octets(octets: int) -> int:
    """How long a text of so many is made, so that its length says little."""
    return min(ceil(octets / PADDED_TO) * PADDED_TO, max(octets, TEXT_OCTETS))


def tag_of(outgoing: Outgoing) -> str:
    """What is equal for messages of which the newest takes the place of the others."""
    return outgoing.thread_id if outgoing.of_evening else outgoing.message_id


def ttl_s(message: Message, now: datetime) -> int:
    """How many seconds a push service keeps it for a phone that is off."""
    if message.stale_at is None:
        return USUAL_TTL_S
    return max(ceil((message.stale_at - now).total_seconds()) + AFTER_STALE_S, LEAST_TTL_S)


def is_urgent(outgoing: Outgoing) -> bool:
    """Whether it is to ring although the phone sleeps."""
    return outgoing.of_evening or outgoing.message.priority >= LOUD


def _answers(message: Message) -> Iterator[dict[str, str]]:
    kept = [button for button in message.buttons if _verb(button.answer) in _VERBS]
    for button in kept[:BUTTONS]:
        yield {"label": shortened(one_line(button.label), LABEL_OCTETS), "text": button.answer}


def _verb(answer: str) -> str:
    """What a signed answer says (`tokens.answer`); another text says nothing that is known."""
    return answer.partition(" ")[2].partition(" ")[0].partition("=")[0]
