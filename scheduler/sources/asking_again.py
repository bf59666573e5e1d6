"""When a weather service may be asked again, after each answer."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.sources.forecast_port import Answer, Fresh, Refused
from scheduler.sources.one_get import DAY_S
from scheduler.wording.sources.forecasts import StillForecast
from scheduler.wording.told_later import for_later

_HOUR_S = 3600.0
# 5xx: once more after 5 to 15 minutes, then not before the next round (common practice).
_SOON_S = (300.0, 900.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How things stand with one source.

    `throttled` counts how often in a row it was asked too much; `once_more_at` is when the one
    second try of a round is due. `refusal` is the last answer where it was one; `is_ending`: the
    last forecast came with the word that this way of asking will end.
    """

    not_before: datetime | None = None
    throttled: int = 0
    once_more_at: datetime | None = None
    until_restart: bool = False
    refusal: Refused | None = None
    is_ending: bool = False

    def may_ask(self, now: datetime) -> bool:
        """Whether the service may be asked in the round of `now`."""
        return not self.until_restart and (self.not_before is None or now >= self.not_before)

    def is_second_try(self, now: datetime) -> bool:
        """Whether the one second try is due, between two rounds."""
        return self.once_more_at is not None and now >= self.once_more_at and self.may_ask(now)

    @property
    def ending(self) -> str:
        """Why its forecasts will end, as it is kept; "" where it has not said so."""
        return for_later(StillForecast.ending) if self.is_ending else ""


NEVER_ASKED = Standing()


def after(standing: Standing, answer: Answer, now: datetime, share: float) -> Standing:
    """How things stand after the answer; `share` from 0 to 1 is drawn at random by the caller."""
    is_ending = answer.deprecated if isinstance(answer, Fresh) else standing.is_ending
    if not isinstance(answer, Refused):
        return Standing(not_before=answer.expires, is_ending=is_ending)
    return replace(_refused(standing, answer, now, share), is_ending=is_ending)


def _refused(standing: Standing, answer: Refused, now: datetime, share: float) -> Standing:
    if answer.until_restart:
        return Standing(until_restart=True, refusal=answer)
    if answer.kind == "throttled":
        throttled = standing.throttled + 1
        wait_s = answer.retry_after_s
        if wait_s is None:
            wait_s = min(_HOUR_S * 2.0 ** min(throttled - 1, 10), DAY_S)
        return Standing(
            not_before=now + timedelta(seconds=wait_s), throttled=throttled, refusal=answer
        )
    wait_s = answer.retry_after_s
    not_before = None if wait_s is None else now + timedelta(seconds=wait_s)
    soon = None
    if answer.kind in {"broken", "no connection"} and standing.once_more_at is None:
        first, last = _SOON_S
        soon = now + timedelta(seconds=first + (last - first) * share)
        if not_before is not None:
            soon = max(soon, not_before)
    return Standing(not_before=not_before, once_more_at=soon, refusal=answer)
