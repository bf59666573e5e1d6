"""What is kept in the diary comes back as it was said, or says why it cannot."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.diary.codec import KINDS, decode, encode
from scheduler.cares.diary.door_entries import DoorShut
from scheduler.cares.diary.entry import FromNewer, Said, Unreadable

anything = st.one_of([st.from_type(kind) for kind in KINDS.values()])


@given(anything)
def test_whatever_is_said_comes_back_as_it_was_said(what: Said) -> None:
    kind, version, text = encode(what)
    assert (kind, version) == (what.KIND, what.VERSION)
    assert decode(kind, version, text) == what


# As they were written by the version that first kept them: what is kept is read for ever.
KEPT = {
    "door-shut": '{"flock":12,"count":11,"some_missing":true}',
    "door-reopened": '{"flock":12}',
    "found": '{"flock":12,"birds":1}',
    "stopped-looking": '{"flock":12,"birds":1,"for_good":true}',
    "died": '{"flock":12,"birds":2}',
    "away": '{"flock":12,"birds":2}',
    "home-again": '{"flock":12,"birds":2}',
    "looking": "{}",
    "arrived": '{"flock":12,"birds":3}',
    "hatched": '{"flock":12,"birds":6}',
    "sold": '{"flock":12,"birds":2}',
    "moved": '{"flock":12,"birds":2,"to":"barn"}',
    "eggs-counted": '{"eggs":9}',
    "job-done": '{"care_id":"water","ordinal":2}',
    "job-skipped": '{"care_id":"nests"}',
    "report-made": '{"report":3,"kind":"medicine","last":"2026-12-27","birds":2,"words":"wormer",'
    '"signs":["crop"],"egg_days":0,"of_house":true}',
    "report-ended": '{"report":3,"last":"2026-12-24"}',
    "report-confirmed": '{"report":3,"on":"2026-12-24"}',
    "label-read": '{"report":3,"egg_days":7}',
    "profile-changed": '{"number":7,"differs":[{"where":["coop","walnut","vent",0,"size"],'
    '"after":"300 cm²"}],"more":2,"how":"put back","put_back":5}',
    "taken-back": '{"entry":4}',
}


def test_what_was_kept_once_is_read_for_ever() -> None:
    assert KEPT.keys() == KINDS.keys()
    for kind, text in KEPT.items():
        what = decode(kind, 1, text)
        assert type(what) is KINDS[kind], kind
        assert encode(what) == (kind, 1, text)


def test_what_a_newer_program_has_said_is_kept_as_it_is() -> None:
    for kind, version in (("door-painted", 1), ("door-shut", 2)):
        what = decode(kind, version, '{"colour":"green"}')
        assert what == FromNewer(kind=kind, version=version, text='{"colour":"green"}')
        assert encode(what) == (kind, version, '{"colour":"green"}')


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"count":11}', '{"flock":"twelve"}', '{"flock":12,"count":1.5}']
)
def test_what_is_damaged_says_so_and_is_no_count(text: str) -> None:
    assert decode("door-shut", 1, text) == Unreadable(kind="door-shut", text=text)


def test_values_as_by_default_are_not_kept() -> None:
    shut = DoorShut(flock=12)
    assert json.loads(encode(shut)[2]) == {"flock": 12}
    assert json.loads(encode(replace(shut, count=0))[2]) == {"flock": 12, "count": 0}
