"""The last good copy of each forecast, in a folder: it is read, never waited for.

A copy that is lost, half, foreign or of another question is none: it is fetched again.
"""

import logging
import stat
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

from pydantic import AwareDatetime, BaseModel, ConfigDict, ValidationError

from scheduler.channels.download import DOWNLOAD_OCTETS
from scheduler.climate.blend import DROPPED_AFTER
from scheduler.climate.forecast import Forecast
from scheduler.machine.paths import write_whole
from scheduler.sources.forecast_port import (
    Answer,
    Asking,
    ForecastPort,
    Fresh,
    Refused,
    Unchanged,
    Unreadable,
)

TOO_OLD = DROPPED_AFTER  # since it was made; from then on the year's averages stand in
_VERSION = 1
_HEAD_OCTETS = 4096
_AHEAD = timedelta(hours=1)  # a copy asked for later than now was asked by a wrong clock
_log = logging.getLogger(__name__)


class _Head(BaseModel):
    """The first line of the file; the bytes follow it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    version: int
    source: str
    question: str
    last_modified: str
    expires: AwareDatetime | None
    got_at: AwareDatetime
    asked_at: AwareDatetime
    octets: int
    digest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """Bytes that once could be read, when they came and when their service was last asked."""

    body: bytes = field(repr=False)
    last_modified: str
    expires: datetime | None
    got_at: datetime
    asked_at: datetime

    def may_ask(self, now: datetime) -> bool:
        """Whether the service may be asked anew: not before it has said."""
        return self.expires is None or now >= self.expires


@dataclass(frozen=True, slots=True)
class Copies:
    """The copies of all sources, one file each, their owner's alone."""

    folder: Path

    def load(self, source: str, question: str, now: datetime) -> Copy | None:
        """The copy of that source for that very question; None for anything else in its place."""
        try:
            raw = _whole(self._file(source))
        except OSError:
            return None
        line, _, body = raw.partition(b"\n")
        try:
            head = _Head.model_validate_json(line)
        except ValidationError:
            return None
        whole = head.octets == len(body) and head.digest == sha256(body).hexdigest()
        ours = (head.version, head.source, head.question) == (_VERSION, source, _of(question))
        if not (whole and ours and max(head.got_at, head.asked_at) <= now + _AHEAD):
            return None
        return Copy(
            body=body,
            last_modified=head.last_modified,
            expires=None if head.expires is None else head.expires.astimezone(UTC),
            got_at=head.got_at.astimezone(UTC),
            asked_at=head.asked_at.astimezone(UTC),
        )

    def keep(self, source: str, question: str, copy: Copy) -> bool:
        """Whether it is kept; where the disk does not take it, the old one stays."""
        head = _Head(
            version=_VERSION,
            source=source,
            question=_of(question),
            last_modified=copy.last_modified,
            expires=copy.expires,
            got_at=copy.got_at,
            asked_at=copy.asked_at,
            octets=len(copy.body),
            digest=sha256(copy.body).hexdigest(),
        )
        content = head.model_dump_json().encode() + b"\n" + copy.body
        try:
            self.folder.mkdir(parents=True, mode=0o700, exist_ok=True)
            write_whole(self._file(source), content, private=True)
        except OSError as error:
            _log.warning("forecast.not_kept source=%s errno=%s", source, error.errno)
            return False
        return True

    def _file(self, source: str) -> Path:
        return self.folder / f"{source}.copy"


def _of(question: str) -> str:
    """Which question it was, without the coordinates in it."""
    return sha256(question.encode()).hexdigest()


def _whole(path: Path) -> bytes:
    """The bytes of an ordinary file that is not larger than any copy.

    Raises:
        OSError: it is not there, no file, or too large.
    """
    status = path.lstat()
    if not stat.S_ISREG(status.st_mode) or status.st_size > DOWNLOAD_OCTETS + _HEAD_OCTETS:
        raise OSError
    return path.read_bytes()


@dataclass(frozen=True, slots=True)
class Renewed:
    """A forecast that can be used, and the answer it came with; it may be an older one's."""

    forecast: Forecast | None
    answer: Answer | Unreadable | None


def question_of(port: ForecastPort, asking: Asking) -> str:
    """What a copy belongs to: the address that is asked first."""
    return port.requests(asking)[0].url


def renew(port: ForecastPort, copies: Copies, asking: Asking, now: datetime) -> Renewed:
    """Asks the service once, keeps what it gives if it can be read, and reads what is kept.

    Where the copy still stands the service is left alone: `answer` is then None.
    """
    question = question_of(port, asking)
    copy = copies.load(port.name, question, now)
    if copy is not None and not copy.may_ask(now):
        return Renewed(_read(port, copy, asking, now), None)
    answer = port.fetch(
        replace(asking, last_modified=copy.last_modified if copy is not None else ""), now
    )
    match answer:
        case Fresh():
            fresh = Copy(
                body=answer.body,
                last_modified=answer.last_modified,
                expires=answer.expires,
                got_at=now,
                asked_at=now,
            )
            forecast = port.read(fresh.body, asking.place, now)
            if isinstance(forecast, Unreadable):
                _log.warning("forecast.unreadable source=%s why=%s", port.name, forecast.kind)
                return Renewed(current(port, copies, asking, now), forecast)
            copies.keep(port.name, question, fresh)
            return Renewed(_young(forecast, now), answer)
        case Unchanged() if copy is not None:
            copies.keep(port.name, question, replace(copy, expires=answer.expires, asked_at=now))
        case Refused():
            _log.info("forecast.refused source=%s why=%s", port.name, answer.kind)
        case _:
            pass
    return Renewed(current(port, copies, asking, now), answer)


def current(port: ForecastPort, copies: Copies, asking: Asking, now: datetime) -> Forecast | None:
    """The forecast of the last good copy; None without one, or once it is more than 36 h old."""
    copy = copies.load(port.name, question_of(port, asking), now)
    return None if copy is None else _read(port, copy, asking, now)


def age(forecast: Forecast, now: datetime) -> timedelta:
    """How long ago it was made; nothing where a clock has it made later than now."""
    return max(now - forecast.made_at, timedelta(0))


def _read(port: ForecastPort, copy: Copy, asking: Asking, now: datetime) -> Forecast | None:
    forecast = port.read(copy.body, asking.place, copy.got_at)
    return None if isinstance(forecast, Unreadable) else _young(forecast, now)


def _young(forecast: Forecast, now: datetime) -> Forecast | None:
    return forecast if age(forecast, now) <= TOO_OLD else None
