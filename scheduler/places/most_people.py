"""Names in the order of their people, found among many without sorting them."""

from collections.abc import Iterator

STEPS_A_DOUBLING = 4


def most_first(steps: memoryview, where: range) -> Iterator[tuple[int, int]]:
    """Positions in that range, the most people first; each with its steps below zero, to merge."""
    there = bytes(steps[where.start : where.stop])
    for step in sorted(set(there), reverse=True):
        wanted = bytes([step])
        found = there.find(wanted)
        while found >= 0:
            yield -step, where.start + found
            found = there.find(wanted, found + 1)


def people(steps: int) -> int:
    """About how many that many steps are, to two digits."""
    return int(float(f"{2 ** (steps / STEPS_A_DOUBLING):.1e}")) if steps else 0
