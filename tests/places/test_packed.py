"""The file: its size, what it costs to ask, and what is no index."""

import subprocess
import sys
import tracemalloc
from zoneinfo import available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.places.folded import folded
from scheduler.places.index import Index
from scheduler.places.packed import MAGIC, NotAnIndex, Numbers
from scheduler.places.spelling import written
from scheduler.profile.package_data import places
from tests.places.drawn import drawn, world
from tests.places.second_reading import every_place
from tests.reference.places_packing import packed_numbers, spelling_of
from tests.unhurried import unhurried

# Everything that is asked of an index, the greediest among it.
ASKED = """
for typed in ("s", "sa", "s, fiji", "lewes, england", "東京", "springfield", "москва"):
    index.starting(typed)
for typed in ("lewws", "lwes", "san", "glostershire", "lewse uk", "qqqqqqq"):
    index.like(typed)
for at in ((50.9, 0), (0, 0), (90, 0), (-17, 180), (40, -100), (35, 139)):
    index.near(*at)
"""
RESIDENT = f"""
from scheduler.places.folded import folded
from scheduler.places.index import Index
def most_kb():
    lines = open("/proc/self/status").read().splitlines()
    return int(next(line.split()[1] for line in lines if line.startswith("VmHWM")))
folded("é東")
before = most_kb()
index = Index(open("scheduler/places/places.bin", "rb").read())
{ASKED}
print((most_kb() - before) * 1024)
"""


def test_the_file_is_no_more_than_four_megabytes() -> None:
    assert len(places()) <= 4_000_000


@unhurried
def test_what_it_takes_of_memory_with_all_its_bytes() -> None:
    tracemalloc.start()
    try:
        index = Index(places())
        exec(ASKED, {"index": index})  # noqa: S102 - the same text that a process of its own runs
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert most <= 5_000_000


@unhurried
@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_what_it_takes_of_memory_as_the_system_counts() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", RESIDENT], capture_output=True, text=True, check=True
    )
    assert int(ran.stdout) <= 5_500_000  # pages that the interpreter takes along


@unhurried
def test_a_second_reading_finds_the_same() -> None:
    told = every_place()
    assert len(told) == len(world())
    assert {one.zone_name for one in told} <= available_timezones()
    for at in range(0, len(told), 997):
        place, one = world()[at], told[at]
        assert (place.name, place.country_code, place.zone_name) == (one[0], *one[2:4])
        assert (place.latitude_deg, place.longitude_deg) == one[4:6]
        assert place.people == pytest.approx(2 ** (one.steps / 4) if one.steps else 0, rel=0.06)
        assert one.key == folded(one.name)


@given(st.binary(max_size=200))
def test_what_is_no_index_is_refused(data: bytes) -> None:
    for tried in (data, MAGIC + data):
        with pytest.raises(NotAnIndex):
            Index(tried)


@pytest.mark.parametrize("left", [0, 1, 8, 40, 52, 1000, 1_000_000, -1])
def test_half_a_file_is_refused(left: int) -> None:
    with pytest.raises(NotAnIndex):
        Index(places()[:left])


def test_a_damaged_block_is_refused_when_it_is_asked_for() -> None:
    data = bytearray(places())
    data[400_000] ^= 0xFF  # in the middle of the names
    index = Index(bytes(data))
    with pytest.raises(NotAnIndex):
        index.like("lewws")


@given(st.lists(st.integers(0, 2**18 - 1), max_size=50))
def test_numbers_of_eighteen_bits(numbers: list[int]) -> None:
    read = Numbers(b"before" + packed_numbers(numbers) + b"after", 6, len(numbers))
    assert [read[at] for at in range(len(read))] == numbers
    for number in numbers:
        assert read.position(number) == numbers.index(number)
    assert all(read.position(number) is None for number in {0, 1, 2**18 - 1} - set(numbers))


@given(st.text(max_size=40) | drawn().map(lambda place: place.name))
def test_a_name_comes_back_as_it_was_written(name: str) -> None:
    assert written(folded(name), spelling_of(folded(name), name)) == name


@given(st.text(max_size=80))
def test_folding_twice_is_folding_once(text: str) -> None:
    once = folded(text)
    assert folded(once) == once
    assert once == " ".join(once.split())
