"""What a delivery is to say, made ready when it is claimed: its words are made when it is sent."""

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial

from scheduler.alerts.delivery import Delivery, Key, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.journal.claims import Claimed
from scheduler.messages import site_news
from scheduler.messages.evening import briefly, mark_of, of_evening
from scheduler.messages.ways_out import relayed

_log = logging.getLogger(__name__)
NightsOf = Callable[[datetime], Sequence[Night]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worded:
    """How it is said; `mark` and `generation` are what its row keeps of that."""

    say: Callable[[], Message] = field(repr=False)
    mark: str = ""
    generation: int | None = None


def worded(
    one: Claimed | Delivery, names: Mapping[str, str], nights: NightsOf, now: datetime
) -> Worded:
    """What the delivery says at `now`; of `nights`, the evenings as told of, only if it asks.

    `names` are the people's, by id. Where its words cannot be made it says what it is about.
    """
    if one.operation == "cancel":
        return Worded(say=partial(Message, "", ""))
    if one.matter.words or one.matter.says:
        return Worded(say=partial(_of_site, one, names))
    around = nights(now)
    night = next((each for each in around if _is_of(each, one.key)), None)
    if night is None:
        _log.error("evening.not_known step=%s", one.key.step)
        return Worded(say=partial(briefly, None))
    try:
        mark = mark_of(night, one, now)
    except Exception:  # noqa: BLE001 - a mark saves a second message, and must not cost the first
        _log.exception("mark.not_made step=%s", one.key.step)
        mark = ""
    say = partial(_of_evening, night, around, one, names, now)
    return Worded(say=say, mark=mark, generation=night.generation_of(one.key.person_id))


def _of_site(one: Claimed | Delivery, names: Mapping[str, str]) -> Message:
    origin = one.key.step.origin
    try:
        message = site_news.of_site(one.matter)
    except Exception:  # noqa: BLE001 - as for an evening
        _log.exception("words.not_made step=%s", one.key.step)
        return briefly(None)
    if not one.matter.not_by:
        return message
    return relayed(message, names.get(origin, origin), one.matter.not_by)


def _of_evening(
    night: Night,
    around: Sequence[Night],
    one: Claimed | Delivery,
    names: Mapping[str, str],
    now: datetime,
) -> Message:
    try:
        return of_evening(night, around, one, names, now)
    except Exception:  # noqa: BLE001 - a fault in the words must silence nobody
        _log.exception("words.not_made step=%s", one.key.step)
        return briefly(night)


def _is_of(night: Night, key: Key) -> bool:
    return (night.evening.day, night.evening.subject_id) == (key.day, key.subject_id)
