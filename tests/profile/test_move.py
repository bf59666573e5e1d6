from datetime import date

import pytest

from scheduler.profile.load import Loaded, parse
from tests.cares.moves import REST, moving, site

ON = date(2026, 3, 1)


def problems(text: str) -> list[tuple[str, str]]:
    found = parse(text.encode(), file="test.toml", today=date(2026, 1, 1))
    assert not isinstance(found, Loaded)
    return [(".".join(map(str, one.key)), one.found) for one in found]


def test_a_zone_is_worked_out_from_the_new_place() -> None:
    text = site("Berlin") + "[move]\non = 2026-03-01\nlatitude = 40.7\nlongitude = -74.0\n" + REST
    found = parse(text.encode(), file="test.toml", today=date(2026, 1, 1))
    assert isinstance(found, Loaded)
    assert str(found.profile.on(ON).site.zone) == "America/New_York"


def test_what_is_left_out_is_as_at_the_old_place_only_where_it_goes_along() -> None:
    text = moving("Berlin", "New York", ON).replace(
        'id = "orchard"', 'id = "orchard"\nelevation = "60 m"\nwest_horizon = 7\nregion = "UK"'
    )
    found = parse(text.encode(), file="test.toml", today=date(2026, 1, 1))
    assert isinstance(found, Loaded)
    there = found.profile.on(ON).site
    assert (there.name, there.region) == ("Orchard", "UK")
    assert (there.elevation_m, there.west_horizon_deg) == (None, 0)


@pytest.mark.parametrize(
    ("wrong", "key"),
    [
        ("on = 2026-03-01\nlatitude = 40.7\n", "move.longitude"),
        ("latitude = 40.7\nlongitude = -74\n", "move.on"),
        ('on = "soon"\nlatitude = 40.7\nlongitude = -74\n', "move.on"),
        ("on = 2026-03-01\nlatitude = -74\nlongitude = 40.7\n", "move.latitude"),
        (
            'on = 2026-03-01\nlatitude = 40.7\nlongitude = 74\ntimezone = "America/New_York"\n',
            "move.timezone",
        ),
        ("on = 2026-03-01\nlatitude = 0\nlongitude = -30\n", "move.timezone"),
        ("on = 2026-03-01\nlatitude = 40.7\nlongitude = -74\nid = 'new'\n", "move.id"),
    ],
)
def test_a_move_is_doubted_as_a_site_is(wrong: str, key: str) -> None:
    assert [at for at, _ in problems(site("Berlin") + "[move]\n" + wrong + REST)] == [key]
