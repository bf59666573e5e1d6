"""A message as ntfy's JSON: what a phone shows, what its buttons send, what the server says."""

import json
from base64 import b64encode
from typing import Any

from scheduler.alerts.delivery import Message, Outgoing
from scheduler.channels.wire_text import lines, one_line, shortened
from scheduler.wording.channels.ways import PushButtons

# ntfy docs/publish.md and docs/config.md (2.x): longer text becomes an attachment; three actions.
BODY_OCTETS = 4096
BUTTONS = 3
# The server reads at most 8 KiB of JSON, all told.
TITLE_OCTETS = 250
LABEL_OCTETS = 60


def content(
    outgoing: Outgoing, *, topic: str, answers_to: str, button_token: str
) -> dict[str, Any]:
    """What is published; a second copy with the same id replaces the first."""
    message = outgoing.message
    title = shortened(one_line(message.title), TITLE_OCTETS)
    body = shortened(lines(message.body).strip(), BODY_OCTETS)
    said: dict[str, Any] = {
        "topic": topic,
        "message": body or title,  # an empty one would be shown as "triggered"
        "priority": message.priority,
        "sequence_id": outgoing.message_id,
    }
    if body:
        said["title"] = _as_written(title)
    if message.link:
        said["click"] = message.link
    if actions := _actions(message, answers_to, button_token):
        said["actions"] = actions
    return said


def read_event(text: bytes) -> dict[str, Any]:
    """What the server says in a line of JSON; empty where that is no object."""
    try:
        event = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return event if isinstance(event, dict) else {}


def _as_written(title: str) -> str:
    """The title so that it is shown as it is: a server decodes what looks encoded (RFC 2047)."""
    if "=?" not in title:
        return title
    return f"=?UTF-8?B?{b64encode(title.encode()).decode()}?="


def _actions(message: Message, answers_to: str, token: str) -> list[dict[str, Any]]:
    actions: list[dict[str, Any]] = [
        {
            "action": "http",
            "label": shortened(one_line(button.label), LABEL_OCTETS),
            "url": answers_to,
            "method": "POST",
            "body": button.answer,
            "clear": True,
            "headers": {"Authorization": f"Bearer {token}"} if token else {},
        }
        for button in message.buttons[:BUTTONS]
    ]
    if message.link and len(actions) < BUTTONS:
        label = shortened(PushButtons.open(), LABEL_OCTETS)
        actions.append({"action": "view", "label": label, "url": message.link})
    return actions
