"""What a look-up of a place costs, beside looking at every name in a list held in memory.

`python -m tests.bench.places` prints a table: what, ours, baseline, ratio, aim; nothing is
asserted. The list takes 60 MB, and the look-ups beside it have every block to unpack.
"""

from collections.abc import Callable
from functools import partial

from scheduler.places.folded import folded
from scheduler.places.globe import apart_deg
from scheduler.places.index import Index
from scheduler.places.slips import one_slip
from scheduler.profile.package_data import places
from tests.bench.run import alternating
from tests.places.second_reading import every_place

PREFIXES = ("s", "sa", "lewes", "lewes, uk", "springfield")
SLIPS = ("lewws", "lwes", "birmingam", "glostershire")
SPOTS = ((50.9, 0.01), (0.0, 0.0), (-17.0, 180.0))


def main() -> None:
    """Prints the table."""
    index = Index(places())
    every = every_place()
    keyed = [(place.key, place) for place in every]

    def beginning(typed: str) -> object:
        name = folded(typed.partition(",")[0])
        found = (place for key, place in keyed if key.startswith(name))
        return sorted(found, key=lambda place: -place.steps)[:8]

    def slipped(typed: str) -> object:
        found = (place for key, place in keyed if one_slip(typed, key) is not None)
        return sorted(found, key=lambda place: -place.steps)[:5]

    def nearest(spot: tuple[float, float]) -> object:
        return min(every, key=lambda p: apart_deg(*spot, p.latitude_deg, p.longitude_deg))

    rows: list[tuple[str, str, Callable[[], object], Callable[[], object]]] = [
        ("open", "20 ms", lambda: Index(places()), lambda: list(keyed)),
        *((t, "20 ms", partial(index.starting, t), partial(beginning, t)) for t in PREFIXES),
        *((t, "300 ms", partial(index.like, t), partial(slipped, t)) for t in SLIPS),
        *((f"near {at}", "–", partial(index.near, *at), partial(nearest, at)) for at in SPOTS),
    ]
    print(f"{'what':20} {'ours ms':>8} {'base ms':>8} {'ratio':>6} {'aim':>7}  baseline")
    for what, aim, ours, baseline in rows:
        ours_s, base_s = alternating(ours, baseline)
        print(
            f"{what:20} {ours_s * 1000:8.1f} {base_s * 1000:8.1f} {ours_s / base_s:6.3f} {aim:>7}  "
            "every name in turn"
        )


if __name__ == "__main__":
    main()
