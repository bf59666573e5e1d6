"""Lives one household's evenings from one seed and writes down everything that comes out of it.

`python -m tests.recorder.drive PROFILE EVENINGS SEED FOLDER`: a line a thing, in order, goes to
FOLDER/NAME.record. Mail and push go to servers in this process.
"""

import logging
import os
import re
import sys
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from tests.recorder.adapter import DrivenClock, Program
from tests.recorder.evenings import DAY, evening
from tests.recorder.life import Life, Recording
from tests.recorder.memory import remember
from tests.sinks.authority import Authority
from tests.sinks.push import PushSink
from tests.sinks.smtp import PASSWORD, SmtpSink

FIRST = date(2027, 1, 4)
KEY = "5J" * 21 + "5"
MAIL = """
[mail]
host = "127.0.0.1"
port = {mail}
user = "coop"
from = "coop@example.net"
"""
WEB = """
[web]
base_url = "https://hens.example.org"
"""


def lived(profile: Path, evenings: int, seed: int) -> Recording:
    """That profile's household through that many evenings."""
    draw = Random(f"{seed}-{profile.name}")  # noqa: S311 - the same in every run is what is wanted
    authority = Authority()
    memory = Path("/dev/shm")  # noqa: S108 - no power fails here, and syncs take minutes
    with (
        TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else None) as name,
        PushSink() as push,
        SmtpSink(authority) as smtp,
    ):
        folder = Path(name)
        os.environ["SSL_CERT_FILE"] = str(authority.file(folder))
        data = folder / "data"
        data.mkdir(mode=0o700)
        (data / "signing.key").write_text(KEY)
        (data / "signing.key").chmod(0o600)
        begins = datetime.combine(FIRST, datetime.min.time(), UTC) - DAY
        clock = DrivenClock(begins)
        environment = {"DUSKFOLD_MAIL_PASSWORD": PASSWORD}
        program = Program(folder / "duskfold.toml", data, clock, environment)
        life = Life(program, clock, push, smtp, _reaching(profile.read_text(), push, smtp))
        life.recording.names = {
            str(folder): "FOLDER",
            f"127.0.0.1:{push.port}": "PUSH",
            f"127.0.0.1:{smtp.port}": "MAIL",
        }
        life.write(life.text)
        program.start()
        life.go(begins)
        _sign_in(life)
        for number in range(evenings):
            evening(life, draw, FIRST + number * DAY)
            print(f"{profile.stem}: {number + 1} of {evenings}", file=sys.stderr)
        program.kill()
        return life.recording


def _reaching(text: str, push: PushSink, smtp: SmtpSink) -> str:
    """The profile with its people behind the servers here."""
    text = text.replace("https://push.example.net", push.url)
    text = re.sub(r"^\[mail\]\n(?:[^\[].*\n|\n)*", "", text, flags=re.MULTILINE)
    # With a way to the pages and without one: messages hold links, or none.
    web = WEB if "\nmail = " in text and "[web]" not in text else ""
    return text + MAIL.format(mail=smtp.port) + web


def _sign_in(life: Life) -> None:
    person = re.findall(r'\[\[person\]\]\n(?:.*\n)*?name = "(.+)"', life.text)[0]
    out = life.say("links", "--sign-in", person)
    link = re.search(r"/sign-in/\S+", out)
    assert link, out
    life.visit((link[0], None), (link[0], {}), ("/", None))


def main() -> None:
    """Writes the recording of one profile."""
    profile, evenings, seed, folder = sys.argv[1:]
    logging.disable()
    remember()
    recording = lived(Path(profile), int(evenings), int(seed))
    found = Path(folder) / f"{Path(profile).stem}.record"
    found.write_text("\n".join(recording.lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
