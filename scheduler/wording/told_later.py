"""What is kept as text until somebody reads it: kept in English, told in the language then spoken.

The journal has what came of each attempt, and the last tick's file what is wrong, for years and for
seconds: neither may depend on what was spoken when it was written.
"""

import re
from collections.abc import Iterator
from functools import cache
from string import Formatter

from scheduler.wording.channels import why_not_sent
from scheduler.wording.channels.phone_words import WhyNotRung, WhyNotSubscribed
from scheduler.wording.channels.ways import OutcomeKinds
from scheduler.wording.journal import why_unusable
from scheduler.wording.journal.why_unusable import WhySqlite
from scheduler.wording.machine.secrets import SecretMissing, SecretUnreadable
from scheduler.wording.sources.forecasts import WhyNoForecast, WhyUnreadable
from scheduler.wording.sources.thermometers import WhyNotMeasured
from scheduler.wording.watch.profile import WhyNotFollowed
from scheduler.wording.words import Words, every

_NAMES = (*every(OutcomeKinds).values(), *every(WhySqlite).values())
_SAYINGS = (
    why_not_sent.WhyUnconnected,
    why_not_sent.WhyUntrusted,
    why_not_sent.WhyNoAnswer,
    why_not_sent.WhyNoPush,
    why_not_sent.WhyNoMail,
    why_not_sent.MailStages,
    why_not_sent.WhyNoService,
    WhyNotRung,
    WhyNotSubscribed,
    why_not_sent.WhyNotTried,
    why_not_sent.WhyDeaf,
    why_unusable.WhyPostgres,
    why_unusable.WhyUnusable,
    why_unusable.WhyPost,
    why_unusable.DatabaseOnServer,
    SecretMissing,
    SecretUnreadable,
    WhyNotFollowed,
    WhyNoForecast,
    WhyUnreadable,
    WhyNotMeasured,
)
_TOLD_TOO = frozenset({"stage", "why", "server"})  # places in which such a text stands itself


def for_later(words: Words, **places: object) -> str:
    """The text in English, whatever is spoken now."""
    return words.english.format(**places)


def told(text: str) -> str:
    """What was kept so, in the language that is spoken; another text as it is."""
    if words := _whole().get(text):
        return words()
    for words, pattern in _patterns():
        if found := pattern.fullmatch(text):
            places = found.groupdict()
            return words(
                **{
                    place: told(said) if place in _TOLD_TOO else said
                    for place, said in places.items()
                }
            )
    return text


def _all() -> list[Words]:
    return [*_NAMES, *(words for owner in _SAYINGS for words in every(owner).values())]


@cache
def _whole() -> dict[str, Words]:
    """Those without places, by their text; of several of one text the first."""
    return {words.english: words for words in reversed(_all()) if not words.places}


@cache
def _patterns() -> tuple[tuple[Words, re.Pattern[str]], ...]:
    """Those with the fewest places first: they are the surer."""
    return tuple(
        (words, re.compile("".join(_parts(words.english)), re.DOTALL))
        for words in sorted(_all(), key=lambda one: len(one.places))
        if words.places
    )


def _parts(english: str) -> Iterator[str]:
    for literal, place, _, _ in Formatter().parse(english):
        yield re.escape(literal)
        if place:
            yield f"(?P<{place}>.*)"
