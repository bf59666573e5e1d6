"""What is kept as text is told in the language that is spoken when it is read."""

from collections.abc import Iterator

import pytest

from scheduler.alerts.delivery import Outcome
from scheduler.channels.connection_faults import unconnected
from scheduler.wording import told_later
from scheduler.wording.channels.why_not_sent import MailStages, WhyNoMail, WhyNoPush
from scheduler.wording.told_later import for_later, told
from scheduler.wording.words import Language, Words, every
from tests.wording.marked import speaking

GERMAN = Language(
    "de",
    {
        "WhyNoMail.refused": "der Mailserver lehnte ab ({code}): {stage}",
        "MailStages.login": "Anmeldung",
        "WhyNoPush.too_late": "zum Halten zu spät",
        "WhyUnconnected.refused": "die Verbindung wurde abgelehnt",
    },
)


@pytest.fixture
def _german() -> Iterator[None]:
    with speaking(GERMAN):
        yield


@pytest.mark.usefixtures("_german")
def test_it_is_kept_in_english_and_told_in_the_language_of_the_day() -> None:
    kept = for_later(WhyNoMail.refused, stage=for_later(MailStages.login), code=535)
    assert kept == "the mail server refused: login (535)"
    assert told(kept) == "der Mailserver lehnte ab (535): Anmeldung"
    assert told(for_later(WhyNoPush.too_late)) == "zum Halten zu spät"


@pytest.mark.usefixtures("_german")
def test_a_channel_keeps_the_same_whatever_is_spoken() -> None:
    outcome = unconnected(ConnectionRefusedError())
    assert outcome == Outcome(kind="transient", reason="the connection was refused")
    assert told(outcome.reason) == "die Verbindung wurde abgelehnt"


@pytest.mark.parametrize("text", ["", "250 ok", "the mail server refused", "x\0(535)"])
def test_what_nobody_kept_so_is_told_as_it_is(text: str) -> None:
    assert told(text) == text


def _all() -> Iterator[Words]:
    yield from told_later._NAMES  # noqa: SLF001 - each of them is to be found again
    for owner in told_later._SAYINGS:  # noqa: SLF001 - as above
        yield from every(owner).values()


@pytest.mark.parametrize("words", list(_all()), ids=lambda words: words.key)
def test_each_is_found_again_and_no_other(words: Words) -> None:
    kept = for_later(words, **dict.fromkeys(words.places, "?"))
    with speaking(Language("x", {words.key: "found"})):
        assert told(kept) == "found"
