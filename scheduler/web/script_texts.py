"""What the script of the pages says, in the language that is spoken."""

from collections.abc import Mapping

from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup

from scheduler.wording.profile.region_words import TimesOfDay
from scheduler.wording.spoken import Lists
from scheduler.wording.web.evening_card import TimeLeft
from scheduler.wording.web.on_the_page import OnThePage
from scheduler.wording.words import Words, every, kept

_SAID: Mapping[str, Words] = {
    **every(OnThePage),
    **every(TimeLeft),
    **every(TimesOfDay),
    "more_taps": Lists.more,
}


@kept(most=1)
def script_texts() -> Markup:
    """JSON that has each by its name, with its places left for the script to fill."""
    texts = {name: unfilled(words) for name, words in _SAID.items()}
    return htmlsafe_json_dumps(texts, sort_keys=True)


def unfilled(words: Words) -> str:
    """The text with each of its places as "{place}"."""
    return words(**{place: f"{{{place}}}" for place in words.places})
