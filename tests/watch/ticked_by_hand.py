"""Reminders without threads by this machine's clock, over a file or over a server."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from scheduler.alerts.delivery import ChannelName
from scheduler.machine.clock import SystemClock, now
from scheduler.profile.values import Profile
from scheduler.service.data_place import DataPlace
from scheduler.watch.opening import OpenedWatch, open_watch
from scheduler.watch.profile_in_force import WaysOut
from scheduler.watch.tick import Ticker
from tests.conftest import SMALL
from tests.faults.driven import PostByHand
from tests.sinks.fake_channel import FakeChannel

ANA = '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b77aa"\n'
FIRST_LOOKS = 10


@contextmanager
def quiet_watch(folder: Path, server: str) -> Iterator[Ticker]:
    """A ticker that has seen to whatever its first looks found; the folder is made."""
    folder.mkdir(mode=0o700)
    profile = folder / "duskfold.toml"
    profile.write_text(SMALL + ANA)
    opened = open_watch(profile, DataPlace(folder, server), {}, now())
    assert isinstance(opened, OpenedWatch), opened
    push = FakeChannel()

    def channels_for(_profile: Profile, _generation: int) -> Mapping[ChannelName, FakeChannel]:
        return {"push": push}

    ways = WaysOut(channels_for=channels_for, for_cancels=lambda *_: None)
    ticker = Ticker(opened=opened, ways=ways, clock=SystemClock(), make_post=PostByHand)
    post = ticker.post
    assert isinstance(post, PostByHand)
    try:
        for _ in range(FIRST_LOOKS):
            assert ticker.tick(), ticker.health.fault
            post.work()
        yield ticker
    finally:
        post.stop(0.0)
        ticker.journal.close()
