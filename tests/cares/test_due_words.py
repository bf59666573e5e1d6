"""What makes a care due is told in words that the catalogue's own rules can be read from."""

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.due_words import due_words


@pytest.mark.parametrize(
    ("care_id", "said"),
    [
        ("water", "every day"),
        ("ark-move", "every 3 days"),
        (
            "drinker-scrub",
            "your drinkers: weekly, twice a week in warm weather; nipples half as often",
        ),
        ("broody-count", "every 7 days, while the average low is above 8\u00a0°C"),
        (
            "frost-look",
            (
                "frost as you report it or as forecast, else dates on which one night in five is "
                "at or below 0\u00a0°C"
            ),
        ),
        ("predator-repair", "a report: duskfold weather predator"),
        ("brooder-heat-0", "a flock's hatch date"),
        ("brooder-heat-1", "1 week after a flock's hatch date"),
        ("brooder-heat-2", "2 weeks after a flock's hatch date"),
        ("chick-look", "every day, for 14 days from a flock's hatch date"),
        ("coccidiosis-watch", "every 7 days, for 91 days from 3 weeks after a flock's hatch date"),
        ("quarantine-start", "a flock's day of arrival"),
        ("quarantine-week", "7 days after a flock's day of arrival"),
        ("clock-change", "the day before the clock changes"),
        (
            "vents-cold",
            "one night in five may be at or below 0\u00a0°C; changes at least 14 days apart",
        ),
        (
            "vents-autumn",
            "fewer than one day in ten is at or above 26\u00a0°C; changes at least 14 days apart",
        ),
        (
            "heat-emergency",
            (
                "heat as you report it or as forecast, at or above 33\u00a0°C or a heat index of "
                "81; where that is the rule, from well above the average"
            ),
        ),
        (
            "deep-clean",
            "once a year, as nights warm past 3\u00a0°C, else fifteen weeks after midwinter",
        ),
        ("short-days", "the day length falls past 14 h"),
        ("evening-water", "each evening on which the sun passes 5°"),
    ],
)
def test_the_trigger_of_a_care_is_told(catalogue: Catalogue, care_id: str, said: str) -> None:
    care = next(care for care in catalogue if care.id == care_id)
    assert due_words(care, "metric") == said


def test_temperatures_of_a_trigger_are_in_the_keepers_units(catalogue: Catalogue) -> None:
    told = [due_words(care, "us") for care in catalogue]
    assert not any("°C" in words for words in told)
    assert any("°F" in words for words in told)
