"""ical.js reads a feed as its events say; it runs in Debian's node."""

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.profile.values import Profile
from tests.reference.test_feed_parsers import ODD_NAMES, page, planned, written

SCRIPT = Path(__file__).with_name("read_by_ical.mjs")
# `npm install --prefix FOLDER ical.js` puts it into FOLDER/node_modules.
PREFIX = Path(sys.prefix)

pytestmark = pytest.mark.node


def by_ical_js(feed: bytes) -> list[dict[str, Any]]:
    """What ical.js reads; fails where it refuses the feed."""
    node = shutil.which("node")
    if not node:
        pytest.skip("node is not installed")
    if not (PREFIX / "node_modules" / "ical.js").is_dir():
        pytest.skip(f"ical.js is not in {PREFIX / 'node_modules'}")
    done = subprocess.run(
        [node, SCRIPT, PREFIX], input=feed, capture_output=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr.decode()
    read: list[dict[str, Any]] = json.loads(done.stdout)
    return read


def moment(text: str) -> datetime | date:
    if "T" not in text:
        return date.fromisoformat(text)
    return datetime.fromisoformat(text).astimezone(UTC)


def test_ical_js_reads_what_the_events_say(small: Profile, catalogue: Catalogue) -> None:
    told = planned(small, catalogue)
    read = by_ical_js(written(told))
    assert {
        one["uid"]: (moment(one["start"]), moment(one["end"]), one["title"]) for one in read
    } == {event.uid: (event.start, event.end, event.title) for event in told}
    assert {one["zone"] for one in read} == {"UTC", None}
    for one, event in zip(read, told, strict=True):
        assert one["alarms"] == (["-PT30M"] if event.rings else [])
        assert one["url"] == (page(event.day) if event.rings else None)
        text = event.description
        if event.rings:
            text += f"\nIs the door shut? Answer here: {page(event.day)}"
        assert one["description"] == text


def test_ical_js_reads_odd_names_as_written(small: Profile, catalogue: Catalogue) -> None:
    names = (*ODD_NAMES, r"Old \N Barn", r"\\n")
    told = planned(small, catalogue)[: len(names)]
    told = [replace(event, title=name) for event, name in zip(told, names, strict=True)]
    assert {one["title"] for one in by_ical_js(written(told))} == set(names)
