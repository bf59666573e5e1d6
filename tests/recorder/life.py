"""One household under the recorder: what goes in by commands and pages, and all that comes out."""

import json
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import count

from tests.recorder.adapter import DrivenClock, Program
from tests.recorder.serving import answer, looped
from tests.sinks.push import PushSink
from tests.sinks.smtp import SmtpSink

Asked = tuple[str, dict[str, str] | None]  # a path, and the form that is sent there


@dataclass
class Recording:
    """What came out, a line each: when, what, whose, and the words."""

    lines: list[str] = field(default_factory=list)
    names: dict[str, str] = field(
        default_factory=dict
    )  # what differs from run to run, and its name
    _last: dict[tuple[str, str], str] = field(default_factory=dict)

    def add(self, at: datetime, what: str, whose: str, words: str) -> None:
        """Writes one thing down."""
        for found, name in self.names.items():
            words, whose = words.replace(found, name), whose.replace(found, name)
        if self._last.get((what, whose)) == words:
            words = "as before"
        else:
            self._last[what, whose] = words
        line = [at.isoformat(timespec="seconds"), what, whose, words]
        self.lines.append(json.dumps(line, ensure_ascii=False))


@dataclass
class Life:
    """One household between its servers."""

    program: Program
    clock: DrivenClock
    push: PushSink
    smtp: SmtpSink
    text: str
    recording: Recording = field(default_factory=Recording)
    cookie: str = ""
    links: list[str] = field(default_factory=list)  # to an evening's page, the newest last
    day_links: list[str] = field(default_factory=list)  # of the calendar that was read last
    looks: Iterator[int] = field(default_factory=count)
    _asked: int = 0
    _rung: int = 0
    _mails: int = 0

    # -- what comes out ---------------------------------------------------------------------

    def go(self, at: datetime, *, send: bool = True) -> None:
        """Time passes until then; one look, and what it sends is written down."""
        self.clock.go_to(at)
        self.push.ring_due(self.clock.at)
        self.program.tick(send=send)
        self.collect()

    def collect(self) -> None:
        """Writes down what came in at the servers since the last time."""
        now = self.clock.at
        asked = self.push.asked.all()
        for one in asked[self._asked :]:
            kept = {name: one.headers[name] for name in sorted(one.headers) if name in _HEADERS}
            said = one.body.decode() + (json.dumps(kept) if kept else "")
            self.recording.add(now, f"push {one.method}", one.path, said)
            self._remember(said)
        self._asked = len(asked)
        rung = self.push.events.all()
        for event in rung[self._rung :]:
            sequence = str(event.said.get("sequence_id", ""))
            self.recording.add(now, f"phone {event.event}", event.topic, sequence)
        self._rung = len(rung)
        mails = self.smtp.mails.all()
        for mail in mails[self._mails :]:
            self.recording.add(now, "mail", mail.recipient, _plain(mail.wire))
            self._remember(mail.parsed.get_content())
        self._mails = len(mails)

    def _remember(self, words: str) -> None:
        self.links += re.findall(r"/evening/[^/\s]+/[^/\s]+/[^/\s]+/[\w-]+", words)

    def say(self, *words: str) -> str:
        """A command at the terminal; its standard output."""
        status, out, err = self.program.command(*words)
        self.recording.add(self.clock.at, "screen", " ".join(words), f"{status}\n{out}\n{err}")
        return out

    def write(self, text: str) -> None:
        """Replaces the profile."""
        draft = self.program.profile.with_suffix(".draft")
        draft.write_text(text, encoding="utf-8")
        draft.replace(self.program.profile)
        os.utime(self.program.profile, ns=(_ns(self.clock.at), _ns(self.clock.at)))

    def write_calendars(self) -> None:
        """The calendars as files; every byte of them is kept."""
        folder = self.program.data.with_name("calendars")
        self.say("feed", "--out", str(folder))
        for path in sorted(folder.iterdir()):
            self.recording.add(self.clock.at, "file", path.name, _text(path.read_bytes()))

    def visit(self, *asked: Asked, signed_in: bool = True) -> list[tuple[int, str]]:
        """Asks for pages one after the other; a form is sent where there is one."""
        return looped(self._visit(asked, signed_in=signed_in))

    async def _visit(self, asked: tuple[Asked, ...], *, signed_in: bool) -> list[tuple[int, str]]:
        found = []
        async with self.program.pages() as app:
            for path, form in asked:
                cookie = self.cookie if signed_in else ""
                status, headers, body = await answer(app, path, form, cookie)
                headers.pop("last-modified", None)  # of the file, by this machine's clock
                if signed_in and "set-cookie" in headers:
                    self.cookie = headers["set-cookie"].partition(";")[0]
                page = _text(body)
                words = f"{status} {json.dumps(headers, sort_keys=True)}\n{page}"
                self.recording.add(self.clock.at, "page", path, words)
                if path.endswith(".ics"):
                    unfolded = page.replace("\r\n ", "")
                    self.day_links = re.findall(r"/evening/[^/\s]+/[^/\s]+/[\w-]+", unfolded)
                found.append((status, page))
        return found


_HEADERS = {"Authorization", "Content-Type"}
_BOUNDARY = re.compile(rb"={15}\d+==")


def _ns(at: datetime) -> int:
    return int(at.timestamp()) * 10**9


def _text(body: bytes) -> str:
    """Each byte of it can be told from the text."""
    return body.decode(errors="backslashreplace")


def _plain(wire: bytes) -> str:
    """A mail without what the library draws by lot."""
    return _text(_BOUNDARY.sub(b"BOUNDARY", wire))
