"""`duskfold feed`: the calendar files."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from scheduler.cli.compose import Session
from scheduler.cli.faults import complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.cli.typed import Typed
from scheduler.feeds.feed_names import house_feed, house_of
from scheduler.feeds.render import PRODID, dressed
from scheduler.feeds.revision import KEPT_DAYS, feed_week
from scheduler.machine.paths import write_whole
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import MOST_BYTES, MOST_EVENTS, Feed
from scheduler.service.calendars.publish import FeedRequest, weeks_of
from scheduler.wording.cli.household import FeedScreen
from scheduler.wording.cli.refusals import AcceptedThere

_MOST_DAYS = 800


def write(  # noqa: PLR0913 - the options of the command
    session: Session, out: Path, *, since: str | None, ahead: str | None, alarms: bool, json: bool
) -> None:
    """Writes the files and says what is in them."""
    household = session.household()
    earliest = household.today(session.now) - timedelta(days=KEPT_DAYS)
    typed = Typed("feed")
    first, days = typed.day("--from", since), typed.whole("--days", ahead, 1, _MOST_DAYS)
    if first and first < earliest:
        typed.refuse("--from", str(first), AcceptedThere.day_from(day=earliest))
    if not str(out).strip() or (out.exists() and not out.is_dir()):
        typed.refuse_word("--out", str(out), AcceptedThere.folder())
    typed.end_if_wrong()
    feeds = session.publish(household, FeedRequest(first=first, days=days))
    feeds = (*feeds, *_of_the_only_house(out, household.profile, feeds))
    lead = round(household.profile.reminders.heads_up_minutes) if alarms else None
    out.mkdir(parents=True, exist_ok=True)
    files = [replace(feed, content=dressed(feed.content, lead_minutes=lead)) for feed in feeds]
    written = [(feed, write_whole(out / f"{feed.name}.ics", feed.content)) for feed in files]
    gone = _removed(out, {feed.name for feed in files})
    if json:
        facts = [_facts(feed, new) for feed, new in written]
        print(as_json({"out": str(out), "feeds": facts, "removed": gone}))
    else:
        rows = [_row(out, feed, new) for feed, new in written]
        removed = FeedScreen.removed()
        print(table([*rows, *((str(out / name), "", "", "", removed) for name in gone)]))
    for feed in files:
        if feed.events > MOST_EVENTS or len(feed.content) > MOST_BYTES:
            complain(
                FeedScreen.too_large(
                    file=f"{feed.name}.ics",
                    events=feed.events,
                    size=_kilobytes(feed),
                    most_events=MOST_EVENTS,
                    most_size=MOST_BYTES // 1000,
                )
            )


def _of_the_only_house(out: Path, profile: Profile, feeds: Sequence[Feed]) -> Iterator[Feed]:
    """A house that was left alone goes on in the file it has: whoever subscribed to it reads on."""
    only = house_feed(profile.coop[0].id)
    if len(profile.coop) == 1 and _is_ours(out / f"{only}.ics"):
        yield from (replace(feed, name=only) for feed in feeds if feed.name == "lockup")


def _removed(out: Path, written: Collection[str]) -> list[str]:
    """The calendars of single houses that nobody writes any more, taken out of the folder."""
    gone = []
    for path in sorted(out.glob("*.ics")):
        if house_of(path.stem) and path.stem not in written and _is_ours(path):
            path.unlink()
            gone.append(path.name)
    return gone


def _is_ours(path: Path) -> bool:
    return path.is_file() and PRODID.encode() in path.read_bytes()


def _row(out: Path, feed: Feed, new: bool) -> tuple[str, ...]:
    return (
        str(out / f"{feed.name}.ics"),
        FeedScreen.events(events=feed.events),
        FeedScreen.size(size=_kilobytes(feed)),
        _how_long(feed),
        (FeedScreen.written if new else FeedScreen.unchanged)(),
    )


def _kilobytes(feed: Feed) -> str:
    return f"{len(feed.content) / 1000:.0f}"


def _how_long(feed: Feed) -> str:
    first, last = feed.window.first, feed.window.last
    weeks, days = divmod((last - first).days + 1, 7)
    length = {"days": 7 * weeks + days} if days else {"weeks": weeks}
    if not feed.shortened:
        said = FeedScreen.days if days else FeedScreen.weeks
        return said(first=first, last=last, **length)
    ahead = (last - feed_week(feed.today)).days // 7 + 1
    said = FeedScreen.fewer_days if days else FeedScreen.fewer_weeks
    return said(first=first, last=last, ahead=ahead, usual=weeks_of(feed.name), **length)


def _facts(feed: Feed, new: bool) -> dict[str, object]:
    return {
        "feed": feed.name,
        "file": f"{feed.name}.ics",
        "events": feed.events,
        "bytes": len(feed.content),
        "first": feed.window.first,
        "last": feed.window.last,
        "shortened": feed.shortened,
        "changed": new,
    }
