"""What is sealed for a browser: the example of RFC 8291, Appendix A, and Firefox itself."""

from dataclasses import replace
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from scheduler.alerts.phone import Subscription
from scheduler.channels.phone_message import text_of
from scheduler.channels.push_services import problem_of
from scheduler.channels.web_push_seal import sealed
from scheduler.tokens.base64url import decoded, encoded
from tests.channels.rigs import NOW, PHONE_ID, PHONE_KEY, now, outgoing, phone_channel
from tests.reference.firefox import firefox
from tests.sinks.authority import Authority
from tests.sinks.push import Reply
from tests.sinks.push_service import PushService
from tests.unhurried import unhurried

OPENED, NOT_OPENED = 100, 101  # what Firefox acknowledges a message with

TEXT = b"When I grow up, I want to be a watermelon"
SENDERS_KEY = "yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw"
RECEIVERS_POINT = (
    "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
)
SALT, AUTH = "DGv6ra1nlYgDCS1FRnbzlw", "BTBZMqHH6r4Tts7J_aSIgg"
BODY = (
    "DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27ml"
    "mlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPT"
    "pK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN"
)


def test_the_published_message_is_sealed_to_the_octet() -> None:
    private = int.from_bytes(decoded(SENDERS_KEY) or b"")
    body = sealed(
        TEXT,
        p256dh=decoded(RECEIVERS_POINT) or b"",
        auth=decoded(AUTH) or b"",
        ephemeral=ec.derive_private_key(private, ec.SECP256R1()),
        salt=decoded(SALT) or b"",
    )
    assert encoded(body) == BODY


@pytest.mark.firefox
@unhurried
def test_firefox_opens_what_is_sealed_for_it(tmp_path: Path) -> None:
    authority = Authority()
    with firefox(tmp_path) as browser, PushService(authority, now=now) as service:
        given = browser.subscribe(PHONE_KEY.public)
        assert "error" not in given, given
        subscription = Subscription(
            endpoint=given["endpoint"],
            p256dh=given["keys"]["p256dh"],
            auth=given["keys"]["auth"],
            key_id=PHONE_KEY.public,
        )
        assert problem_of(subscription) is None
        # Only where it goes is ours; what is sealed goes on to the browser as it came in.
        here = replace(subscription, endpoint=f"https://{service.host}/push/1")
        channel = phone_channel(authority, here)
        service.script(Reply(status=201), always=True)
        bodies = ("", "Zoë 🐔 العشّة " * 20, "half past — “latch” it\n" * 60, "x" * 5000)
        for number, body in enumerate(bodies, 1):
            sent = outgoing(PHONE_ID, title="Lock up by 16:33", body=body)
            assert channel.deliver(sent).kind == "sent"
            sealed_body = service.asked.all()[-1].body
            assert browser.pushes.push(f"v{number}", sealed_body) == OPENED
            opened = browser.opened.wait(number)[-1]
            receipt = channel.receipt_of(sent)
            home = channel.subject
            assert opened == text_of(sent, receipt=receipt, home=home, now=NOW)
        changed = bytearray(sealed_body)
        changed[-1] ^= 1
        assert browser.pushes.push("v9", bytes(changed)) == NOT_OPENED
    assert len(browser.opened.all()) == len(bodies)
