"""Warnings in force at a place, by the US National Weather Service; asked at most every 15 minutes.

Written from its published interface (alerts/active, CAP 1.2). Headline and sender are quoted as
they are. Names of events: those since October 2024 (cold) and March 2025 (heat), and those before.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from scheduler.channels.http import Request
from scheduler.climate.forecast import OfficialWarning, WarningKind
from scheduler.sources import forecast_json as found
from scheduler.sources.forecast_json import NoForecast
from scheduler.sources.forecast_port import Answer, Asking, Refused, Unreadable
from scheduler.sources.one_get import Client, got
from scheduler.sources.us_nws import SERVER, point_of

AGAIN = timedelta(minutes=15)
_MOST = 200
_LONGEST_TEXT = 400
_KINDS: Mapping[WarningKind, tuple[str, ...]] = {
    "storm": (
        "high-wind-warning",
        "severe-thunderstorm-warning",
        "tornado-warning",
        "tropical-storm-warning",
        "hurricane-warning",
        "blizzard-warning",
        "winter-storm-warning",
        "ice-storm-warning",
        "wind-advisory",
    ),
    "frost": (
        "freeze-warning",
        "frost-advisory",
        "extreme-cold-warning",
        "cold-weather-advisory",
        "wind-chill-warning",
        "wind-chill-advisory",
    ),
    "heat": ("extreme-heat-warning", "excessive-heat-warning", "heat-advisory"),
}
_KIND_OF = {event: kind for kind, events in _KINDS.items() for event in events}
# VTEC actions that end an event: cancelled, expired, upgraded to another (NWSI 10-1703, memory).
_ENDS = frozenset({"CAN", "EXP", "UPG"})


@dataclass(frozen=True, slots=True, kw_only=True)
class UsNwsWarnings:
    """What is in force; `server` is another one in tests alone."""

    client: Client = field(default_factory=Client)
    server: str = SERVER

    def requests(self, asking: Asking) -> tuple[Request, ...]:
        """The one request."""
        return requests(asking, self.server)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """One try; whatever comes, it is not to be asked again within 15 minutes."""
        (request,) = self.requests(asking)
        with self.client.round() as line:
            answer = got(request, self.client, line, now)
        if isinstance(answer, Refused):
            wait_s = max(answer.retry_after_s or 0.0, AGAIN.total_seconds())
            return replace(answer, retry_after_s=wait_s)
        return replace(answer, expires=now + AGAIN)

    def read(self, body: bytes, now: datetime) -> tuple[OfficialWarning, ...] | Unreadable:
        """The warnings that the bytes are."""
        return read(body, now)


def requests(asking: Asking, server: str = SERVER) -> tuple[Request, ...]:
    """What is asked, exactly."""
    url = f"{server}/alerts/active?point={point_of(asking.place)}"
    return (Request(method="GET", url=url, headers=asking.headers),)


def read(body: bytes, now: datetime) -> tuple[OfficialWarning, ...] | Unreadable:
    """Those of storm, frost and heat that are real and not over at `now`, by their onset."""
    try:
        features = found.rows(found.parsed(body).get("features"))[:_MOST]
        alerts = [found.table(found.table(each).get("properties")) for each in features]
        replaced = {each for alert in alerts for each in _replaces(alert)}
        warnings = [
            warning
            for alert in alerts
            if _holds(alert) and (warning := _warning(alert)) is not None
            if warning.id not in replaced and warning.ends > now
        ]
    except NoForecast as fault:
        return Unreadable(fault.kind)
    return tuple(sorted(warnings, key=lambda each: (each.onset, each.id)))


def _holds(alert: Mapping[str, Any]) -> bool:
    """Whether it is no test or exercise and does not itself end what it names."""
    if alert.get("status") != "Actual" or alert.get("messageType") not in {"Alert", "Update"}:
        return False
    actions = list(_vtec_actions(alert))
    return not actions or any(action not in _ENDS for action in actions)


def _vtec_actions(alert: Mapping[str, Any]) -> Iterator[str]:
    """The action of each VTEC string: /O.NEW.KGYX.WI.Y.0031.261128T1500Z-261129T0300Z/."""
    parameters = alert.get("parameters")
    strings = parameters.get("VTEC") if isinstance(parameters, dict) else None
    for each in strings if isinstance(strings, list) else []:
        parts = str(each).strip().strip("/").split(".")
        if len(parts) > 1:
            yield parts[1]


def _replaces(alert: Mapping[str, Any]) -> Iterator[str]:
    """The ids of those that an update or a cancellation stands for."""
    references = alert.get("references")
    if alert.get("status") != "Actual" or not isinstance(references, list):
        return
    for each in references:
        if isinstance(each, dict):
            yield str(each.get("identifier", ""))


def _warning(alert: Mapping[str, Any]) -> OfficialWarning | None:
    event = str(alert.get("event", ""))
    kind = _KIND_OF.get("-".join(event.lower().split()))
    if kind is None:
        return None
    onset = alert.get("onset") or alert.get("effective") or alert.get("sent")
    ends = alert.get("ends") or alert.get("expires")
    return OfficialWarning(
        id=_text(alert.get("id")),
        kind=kind,
        event=event,
        headline=_text(alert.get("headline")) or event,
        sender=_text(alert.get("senderName")),
        onset=found.instant(onset),
        ends=found.instant(ends),
    )


def _text(value: object) -> str:
    """What is quoted, as it is; a longer one than any that is told is cut."""
    return value[:_LONGEST_TEXT] if isinstance(value, str) else ""
