"""A person's own phone as the reminders know it: no key of the file, added to what was read."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class RingingPhone:
    """One phone, by its id; `is_proven`: it is known to ring, `says_shown`: it sends receipts."""

    id: str
    person_id: str
    is_proven: bool = False
    says_shown: bool = False
