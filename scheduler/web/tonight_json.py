"""Tonight's times for home automation and doors: `tonight.json`, version 1."""

import json

from scheduler.profile.words import instant
from scheduler.web.evening_cards import tonight
from scheduler.web.request_and_answer import Visit

VERSION = 1


def tonight_json(visit: Visit) -> bytes:
    """Each coop's lock-up, latest, state and next let-out, as instants in UTC.

    `faults` are why the reminders cannot be relied on, as every page says them. A coop in which no
    bird sleeps tonight is not among them. Without a let-out where a housing order holds and the
    run has no roof: what opens doors by it must not open that one.
    """
    said = {
        "version": VERSION,
        "site": visit.profile.site.id,
        "reliable": not visit.warnings,
        "faults": [cause.what for cause in visit.warnings],
        "coops": [
            {
                "coop": card.coop_id,
                "name": card.name,
                "evening": card.day.isoformat(),
                "lockup": instant(card.lock_up_at),
                "latest": instant(card.latest_at),
                "state": card.state.state,
                "expected": card.state.expected,
                "counted": card.state.counted,
                "missing": card.state.missing,
                "unaccounted": card.state.at_large,
                "at_least": card.state.may_miss_more,
                "letout": instant(card.let_out_at) if card.let_out else None,
            }
            for card in tonight(visit)
            if not (card.state.state == "open" and card.state.is_empty)
        ],
    }
    return json.dumps(said, separators=(",", ":")).encode() + b"\n"
