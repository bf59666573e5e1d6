"""What a phone sends home once it has shown a message: it proves which one, and to which phone."""

import re
from dataclasses import dataclass

from scheduler.tokens.derived import same, token

_FORM = re.compile(r"([0-9a-f]{16}) ([0-9a-f]{32}) ([A-Za-z0-9_-]{43})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """That the phone has shown the message of that id."""

    site_id: str
    phone_id: str
    message_id: str

    def text(self, key: bytes) -> str:
        """The receipt as it travels, in one line."""
        signed = token(
            key, "receipt", site_id=self.site_id, subject=f"{self.phone_id}|{self.message_id}"
        )
        return f"{self.phone_id} {self.message_id} {signed}"


def read_receipt(text: str, site_id: str, key: bytes) -> Receipt | None:
    """The receipt, or None when it is none, or of another message, phone or site."""
    found = _FORM.fullmatch(text.strip())
    if found is None:
        return None
    receipt = Receipt(site_id=site_id, phone_id=found[1], message_id=found[2])
    return receipt if same(text.strip(), receipt.text(key)) else None
