"""What the script of the pages says, in the language that is spoken."""

from collections.abc import Mapping

from scheduler.wording.profile.region_words import TimesOfDay
from scheduler.wording.web.evening_card import TimeLeft
from scheduler.wording.web.on_the_page import OnThePage
from scheduler.wording.words import Words, every, kept

_SAID: Mapping[str, Words] = {**every(OnThePage), **every(TimeLeft), **every(TimesOfDay)}


@kept(most=1)
def script_texts() -> Mapping[str, str]:
    """Each by its name, with its places left for the script to fill."""
    return {name: unfilled(words) for name, words in _SAID.items()}


def unfilled(words: Words) -> str:
    """The text with each of its places as "{place}"."""
    return words(**{place: f"{{{place}}}" for place in words.places})
