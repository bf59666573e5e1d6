"""The mark of each source that is shown with a number says truly how it was read."""

import pytest

from scheduler.husbandry import (
    air_figures,
    feed_figures,
    figure,
    housing,
    lighting,
)
from scheduler.husbandry.figure import Source

SOURCES = sorted(
    {
        value
        for room in (air_figures, feed_figures, figure, housing, lighting)
        for value in vars(room).values()
        if isinstance(value, Source)
    },
    key=lambda source: source.text,
)


@pytest.mark.parametrize("source", SOURCES, ids=lambda source: source.text)
def test_a_mark_says_how_the_source_was_read(source: Source) -> None:
    text = source.text
    assert (text == "common practice, no source") == (source.mark == "C")
    assert ("second-hand" in text) == (source.mark == "Q")
    unread = "from memory" in text or "common practice" in text
    assert unread == (source.mark in {"P", "M", "C"})
    if source.mark == "M":
        assert text.endswith("from memory")


def test_water_in_the_heat_is_not_credited_to_a_table_that_has_less() -> None:
    # Poultry Hub, Water consumption rates: 30 to 50 % more above 32 °C, 0.35 to 0.41 L.
    assert figure.WATER_IN_HEAT.mark == "P"
    assert "common practice" in figure.WATER_IN_HEAT.text
