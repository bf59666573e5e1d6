"""What the reminders cost: deliveries a second beside plain smtplib, and the idle watch.

`python tests/bench/cost.py` prints a table; `--idle MINUTES` how long the idle watch is looked at.
"""

import argparse
import logging
import multiprocessing
import os
import resource
import smtplib
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from email.message import EmailMessage
from multiprocessing.connection import Connection
from pathlib import Path

from scheduler.alerts.delivery import Delivery, Key, Matter, Message
from scheduler.alerts.step import decode
from scheduler.channels.mail import MailChannel, MailSettings
from scheduler.journal import deliveries
from scheduler.journal.store import Journal, open_journal
from scheduler.machine.clock import SystemClock, now
from scheduler.watch.couriers import Post
from tests.sinks.authority import Authority
from tests.sinks.smtp import PASSWORD, USER, SmtpSink
from tests.told import worded_by

ROOT = Path(__file__).parents[2]
COUNT = 5000
MESSAGE = Message(
    title="Lock up now: Walnut House, 12 hens, by 16:33",
    body="Walnut House: 12 hens, lock up 16:18, latest 16:33.\nCount them, shut, latch.",
    stem="Lock up Walnut House: 12 hens by 16:33",
)


def serve(folder: str, say: Connection) -> None:
    """A mail server in a process of its own, so that it takes no time from either side."""
    logging.disable()  # its library warns at every sign-in
    authority = Authority()
    with SmtpSink(authority) as sink:
        say.send((sink.port, str(authority.file(Path(folder)))))
        while say.recv() == "count":
            say.send(len(sink.accepted.all()))


@contextmanager
def server(folder: Path) -> Iterator[tuple[int, Connection]]:
    """The server's port, and a line to ask it how many mails it has."""
    ours, theirs = multiprocessing.Pipe()
    process = multiprocessing.get_context("spawn").Process(
        target=serve, args=(str(folder), theirs), daemon=True
    )
    process.start()
    port, authority = ours.recv()
    os.environ["SSL_CERT_FILE"] = authority
    yield port, ours
    ours.send("end")
    process.join()


def plain(port: int, count: int) -> float:
    """Seconds that smtplib takes for so many mails, one connection each."""
    import ssl  # noqa: PLC0415 - after SSL_CERT_FILE is set

    tls = ssl.create_default_context()
    began = time.perf_counter()
    for number in range(count):
        mail = EmailMessage()
        mail["From"], mail["To"] = "coop@example.net", f"p{number}@example.org"
        mail["Subject"], mail["Message-ID"] = MESSAGE.stem, f"<{number:032x}@example.net>"
        mail.set_content(f"{MESSAGE.title}\n{MESSAGE.body}")
        with smtplib.SMTP("127.0.0.1", port, local_hostname="[127.0.0.1]", timeout=20) as smtp:
            smtp.starttls(context=tls)
            smtp.login(USER, PASSWORD)
            smtp.send_message(mail)
    return time.perf_counter() - began


def ours(port: int, where: Path | str, count: int) -> float:
    """Seconds until every one of so many deliveries is sent and its outcome is durable."""
    journal = open_journal(where)
    due_at = now()
    add(journal, due_at, count)
    settings = MailSettings(
        host="127.0.0.1",
        port=port,
        security="starttls",
        user=USER,
        password=PASSWORD,
        sender="coop@example.net",
    )
    post = Post(
        {"mail": MailChannel(settings, now)},
        SystemClock(),
        site_id="bench",
        address_of=lambda parcel: ("Somebody", f"{parcel.key.person_id}@example.org"),
        relays_of=lambda *_: (),
        worded_by=worded_by(),
    )
    post.start(journal)
    began = time.perf_counter()
    with journal.writing() as writing:
        claimed = post.claim(writing, now())
    post.hand_over(claimed)
    while not all_sent(journal):
        post.changed.wait(1.0)
        post.changed.clear()
    seconds = time.perf_counter() - began
    post.stop(10)
    journal.close()
    return seconds


def add(journal: Journal, due_at: datetime, count: int, people: str = "p") -> None:
    """Writes so many deliveries down, all due now, each to another person."""
    with journal.writing() as writing:
        deliveries.add(
            writing.connection,
            (
                Delivery(
                    key=Key(
                        site_id="bench",
                        subject_id="walnut",
                        day=date(2026, 12, 21),
                        step=decode("now"),
                        opening=0,
                        person_id=f"{people}{number}",
                        channel="mail",
                    ),
                    matter=Matter(words=MESSAGE),
                    due_at=due_at.astimezone(UTC),
                    useful_until=due_at + timedelta(hours=12),
                )
                for number in range(count)
            ),
        )


def all_sent(journal: Journal) -> bool:
    """Whether nothing waits and nothing is under way."""
    with journal.reading() as connection:
        return deliveries.next_due(connection, "bench") is None


def file_system(folder: Path) -> str:
    """The kind of file system that the folder lies on."""
    asked = ["/usr/bin/stat", "-f", "-c", "%T", str(folder)]
    shown = subprocess.run(asked, capture_output=True, text=True, check=False)
    return shown.stdout.strip() or "unknown"


def idle(folder: Path, minutes: float) -> tuple[float, float]:
    """Resident megabytes and per cent of a core of a watch with nothing to do, second start."""
    profile = ROOT / "config" / "hot-dry-24n.toml"
    command = [sys.executable, "-m", "scheduler", "-p", str(profile), "watch"]
    environment = {**os.environ, "DUSKFOLD_DATA": str(folder / "data"), "PYTHONPATH": str(ROOT)}
    figures = (0.0, 0.0)
    for seconds in (20.0, minutes * 60):  # the first start brings the journal's schema up to date
        process = subprocess.Popen(command, env=environment)
        time.sleep(15)
        before = processor_s(process.pid)
        time.sleep(seconds)
        used_s = processor_s(process.pid) - before
        status = Path(f"/proc/{process.pid}/status").read_text()
        resident = next(line for line in status.splitlines() if line.startswith("VmRSS"))
        figures = int(resident.split()[1]) / 1024, 100 * used_s / seconds
        process.terminate()
        process.wait()
    return figures


def processor_s(pid: int) -> float:
    """Seconds of processor that the process has used."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(") ")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n", maxsplit=1)[0])
    parser.add_argument("--count", type=int, default=COUNT)
    parser.add_argument("--idle", type=float, default=10.0, metavar="MINUTES")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with server(folder) as (port, line):
            plain_s = plain(port, asked.count)
            ours_s = ours(port, folder / "bench.sqlite3", asked.count)
            line.send("count")
            arrived = line.recv()
        print(f"{asked.count} mails, STARTTLS and AUTH, one connection each; {arrived} arrived")
        print(f"  plain smtplib        {asked.count / plain_s:8.0f} a second")
        print(
            f"  with durable outcome {asked.count / ours_s:8.0f} a second ({file_system(folder)})"
        )
        print(f"  ratio                {plain_s / ours_s:8.2f} (aim: at least 0.5)")
        if asked.idle:
            megabytes, per_cent = idle(folder, asked.idle)
            print(
                f"idle watch over {asked.idle:g} min: {megabytes:.1f} MB resident (aim: under 80)"
            )
            print(f"  {per_cent:.3f} % of a core (aim: under 0.5)")
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"this bench's own peak: {peak:.0f} MB")


if __name__ == "__main__":
    main()
