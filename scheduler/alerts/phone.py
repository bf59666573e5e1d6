"""A person's own phone, or another device, that rings by push from its browser (RFC 8030)."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

Rang = Literal["yes", "silent", "no"]
_HEARD_WITHIN = timedelta(days=30)  # a receipt this young proves that it rings


@dataclass(frozen=True, slots=True, kw_only=True)
class Subscription:
    """Where a browser's push service takes messages for it, and what they are sealed for.

    `p256dh` and `auth` are as the browser gives them, `key_id` is the public key that it was
    asked with: base64url without padding. Whoever has `endpoint` and `auth` can send.
    """

    endpoint: str = field(repr=False)
    p256dh: str = field(repr=False)
    auth: str = field(repr=False)
    key_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """One device of a person's; it ends with its session, or when its push service says so.

    `session` is the hash of the session that it was added by. `handed_at` is when its push service
    last took a message, `arrived_at` when the device last said that it had shown one. `rang` is
    what its person answered last ("Did it ring?"), `rang_quiet` the same with Do Not Disturb on.
    """

    id: str
    person_id: str
    session: str = field(repr=False)
    label: str
    subscription: Subscription
    made_at: datetime
    handed_at: datetime | None = None
    arrived_at: datetime | None = None
    rang: Rang | None = None
    rang_at: datetime | None = None
    rang_quiet: Rang | None = None
    rang_quiet_at: datetime | None = None

    def is_proven(self, now: datetime) -> bool:
        """Whether it is known to ring: its person said so, or it has shown a message lately.

        Nothing of that holds once its person says that it does not ring, or is silent.
        """
        if self.rang in {"no", "silent"}:
            return False
        heard = self.arrived_at is not None and now - self.arrived_at < _HEARD_WITHIN
        return self.rang == "yes" or heard
