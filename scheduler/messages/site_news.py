"""What the site tells besides its evenings, as values: the journal keeps those, and no words."""

import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from inspect import signature
from typing import Any, ParamSpec

from pydantic import validate_call
from pydantic_core import to_jsonable_python

from scheduler.alerts.delivery import Matter, Message
from scheduler.messages import (
    brief,
    by_day,
    emergency,
    let_in,
    own_faults,
    profile_changed,
    ways_out,
)

P = ParamSpec("P")

# By a key that stays as it is: what waits in a journal is worded by the program of that day.
SAYINGS: Mapping[str, Callable[..., Message]] = {
    "brief": brief.brief,
    "eggs": by_day.eggs,
    "emergency": emergency.emergency,
    "emergency back": emergency.back,
    "emergency eased": emergency.eased,
    "emergency over": emergency.over,
    "free range": by_day.free_range,
    "kept in the heat": by_day.kept_in_the_heat,
    "let out": by_day.let_out,
    "clock ahead": own_faults.clock_ahead,
    "evenings missed": own_faults.missed_evenings,
    "house not planned": own_faults.cannot_plan,
    "journal not written": own_faults.not_written,
    "journal recovered": own_faults.recovered,
    "said ahead": own_faults.said_ahead,
    "time unknown": own_faults.unknown_time,
    "answers renewed": let_in.answers_renewed,
    "invited": let_in.invited,
    "person renewed": let_in.renewed,
    "signed in": let_in.signed_in,
    "signed out": let_in.signed_out,
    "duty is back": profile_changed.duty_is_back,
    "duty moved": profile_changed.duty_moved,
    "days moved": profile_changed.days_moved,
    "left": profile_changed.left,
    "left days": profile_changed.left_days,
    "new names": profile_changed.renamed,
    "no more reminders": profile_changed.no_more_reminders,
    "profile not followed": profile_changed.profile_not_followed,
    "profile refused": profile_changed.profile_refused,
    "second is back": profile_changed.second_is_back,
    "buttons deaf": ways_out.deaf,
    "buttons heard": ways_out.heard_again,
    "way lacks secret": ways_out.lacks_secret,
    "way in trouble": ways_out.trouble,
}
_KEYS = {says: key for key, says in SAYINGS.items()}


def news(says: Callable[P, Message], *args: P.args, **kwargs: P.kwargs) -> Matter:
    """That message as the values that it is made of."""
    bound = signature(says).bind(*args, **kwargs)
    told = json.dumps(to_jsonable_python(bound.arguments), ensure_ascii=False, sort_keys=True)
    return Matter(says=_KEYS[says], told=told)


def of_site(matter: Matter) -> Message:
    """The message that the matter is of.

    Raises:
        KeyError: this program has no such message.
        ValueError: the values are not those of the message.
    """
    if (words := matter.words) is not None:
        return words
    message: Message = _checked(matter.says)(**json.loads(matter.told))
    return replace(message, body=" ".join((message.body, *matter.behind)))


@lru_cache(maxsize=64)
def _checked(key: str) -> Callable[..., Any]:
    return validate_call(SAYINGS[key])
