"""The journal on both engines, beside bare SQL and beside each other, in one run.

`python tests/bench/journal.py` prints one table: what, ours, baseline, ratio, aim. `--count` says
how many deliveries are claimed and settled by 25 at a time, `--mails` how many are sent.
"""

import argparse
import http.client
import os
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from datetime import datetime
from pathlib import Path
from statistics import median

from scheduler.alerts.delivery import Outcome
from scheduler.journal import claims
from scheduler.journal.claims import Claimed
from scheduler.journal.store import Journal, open_journal
from scheduler.machine.clock import now
from scheduler.watch.claim import MOST_CLAIMS, Claims, UnderWay
from scheduler.watch.parcel import Destination, Parcel
from scheduler.watch.tick import Ticker
from scheduler.watch.without_journal import HandedOver, Unwritten
from scheduler.watch.write_down import Scribe
from tests.bench import bare_sql, cost
from tests.faults.house import household
from tests.sinks.postgres import Postgres, running
from tests.told import worded_by
from tests.watch.ticked_by_hand import quiet_watch
from tests.web.front import front

Row = tuple[str, str, float, float, str, str]
ROUNDS, LOOKS, REQUESTS = 3, 200, 2000
CLAIM_AIM, LOOK_AIM, MAIL_AIM = "≥ 2000 /s", "≤ 5 ms", "≥ 0.5"


def address_of(parcel: Parcel) -> tuple[str, str]:
    """Everybody has one."""
    key = parcel.key if isinstance(parcel, Claimed) else parcel.delivery.key
    return "Somebody", f"{key.person_id}@example.org"


def to_one_server(_: Parcel) -> Destination:
    """All mail goes there."""
    return "mail", "mail.example.net"


CLAIMS = Claims(
    site_id="bench",
    unwritten=Unwritten(),
    handed=HandedOver(),
    address_of=address_of,
    destination_of=to_one_server,
    worded_by=worded_by(),
)


def ours(journal: Journal, at: datetime, most: int) -> int:
    """Claims and settles whatever is due as couriers and scribe do; how many."""
    scribe = Scribe(lambda: journal, UnderWay(), relays_of=lambda *_: ())
    settled = 0
    while True:
        with journal.writing(beside=True) as writing:
            if most == MOST_CLAIMS:
                taken = CLAIMS.claim(writing, at, lambda _: True, ("mail",), most)
            else:
                taken = claims.claim(writing.connection, "bench", "mail", at, most)
        if not taken:
            return settled
        assert scribe.settle([(one, Outcome("sent"), at) for one in taken])
        settled += len(taken)


def claimed_and_settled(where: Path | str, count: int, most: int) -> tuple[float, float]:
    """How many a second, ours and in bare SQL on the same data, in turn."""
    journal, at = open_journal(where), now()
    bare = bare_sql.on_sqlite if isinstance(where, Path) else bare_sql.on_postgresql
    sides: tuple[Callable[[], int], Callable[[], int]] = (
        lambda: ours(journal, at, most),
        lambda: bare(where, at, most),  # type: ignore[arg-type] # of the same engine
    )
    rates: list[list[float]] = [[], []]
    for turn in range(ROUNDS):
        for side, (work, found) in enumerate(zip(sides, rates, strict=True)):
            cost.add(journal, at, count, f"of-{most}-{turn}-{side}-")
            began = time.perf_counter()
            settled = work()
            found.append(settled / (time.perf_counter() - began))
            assert settled == count
    journal.close()
    return median(rates[0]), median(rates[1])


def mails(folder: Path, where: Mapping[str, Path | str], count: int) -> list[Row]:
    """Durable mail beside smtplib, a second."""
    with cost.server(folder) as (port, _):
        plain = count / cost.plain(port, count)
        sent = {name: count / cost.ours(port, place, count) for name, place in where.items()}
    name = "smtplib"
    return [(f"mail, {engine}", "/s", rate, plain, MAIL_AIM, name) for engine, rate in sent.items()]


def quiet_ms(ticker: Ticker) -> float:
    """Milliseconds of a look when nothing is due."""
    looks = []
    for _ in range(LOOKS):
        began = time.perf_counter()
        assert ticker.tick(), ticker.health.fault
        looks.append(time.perf_counter() - began)
    return median(looks) * 1000


def unchanged_a_second(folder: Path, server: str) -> float:
    """304 answers a second over one connection that is kept."""
    folder.mkdir()
    with household(folder, server=server) as house, front(house) as pages:
        path, line = pages.calendar(feed="all"), http.client.HTTPConnection("127.0.0.1", pages.port)
        headers = {"If-None-Match": pages.get(path).headers["etag"]}
        with closing(line):
            began = time.perf_counter()
            for _ in range(REQUESTS):
                line.request("GET", path, headers=headers)
                answer = line.getresponse()
                answer.read()
                assert answer.status == 304
            return REQUESTS / (time.perf_counter() - began)


def rows(folder: Path, server: Postgres, count: int, sent: int) -> Iterator[Row]:
    """What was measured: what, its unit, ours, the baseline, the aim, the baseline's name."""
    engines = ("SQLite", "PostgreSQL")

    def places(name: str) -> dict[str, Path | str]:
        made = server.url(server.new_database())
        return dict(zip(engines, (folder / f"{name}.sqlite3", made), strict=True))

    for engine, where in places("claims").items():
        for most, aim in ((1, "–"), (MOST_CLAIMS, CLAIM_AIM)):
            mine, bare = claimed_and_settled(where, count if most > 1 else count // 10, most)
            yield f"claim and settle by {most}, {engine}", "/s", mine, bare, aim, "bare SQL"
    if sent:
        yield from mails(folder, places("mails"), sent)
    urls = {"SQLite": "", "PostgreSQL": server.url(server.new_database())}
    looks = {}
    for engine, url in urls.items():
        with quiet_watch(folder / f"watch-{engine}", url) as ticker:
            looks[engine] = quiet_ms(ticker)
        yield f"quiet look, {engine}", "ms", looks[engine], looks["SQLite"], LOOK_AIM, "on SQLite"
    urls["PostgreSQL"] = server.url(server.new_database())
    plain, shared = (unchanged_a_second(folder / f"web-{one}", url) for one, url in urls.items())
    yield "304 of a calendar, PostgreSQL", "/s", shared, plain, "≥ 0.9", "on SQLite"


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n", maxsplit=1)[0])
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--mails", type=int, default=1000)
    asked = parser.parse_args()
    print(f"load at first: {os.getloadavg()[0]:.1f}")
    print(f"{'what':38} {'ours':>9} {'baseline':>9}    {'ratio':>6} {'aim':>10}  baseline")
    with tempfile.TemporaryDirectory() as name, running() as server:
        for what, unit, mine, base, aim, baseline in rows(
            Path(name), server, asked.count, asked.mails
        ):
            figures = f"{mine:9.1f} {base:9.1f} {unit:2} {mine / base:6.2f}"
            print(f"{what:38} {figures} {aim:>10}  {baseline}", flush=True)
    print(f"load at last: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
