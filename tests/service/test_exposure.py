"""What of a profile lets others in, and what is said of it."""

import re

import pytest

from scheduler.service.household.exposure import exposures, is_guessable, with_topic
from tests.alerts.orchard import SITE, WALNUT
from tests.conftest import declared

LONG = "hens-3f9a1c77d20b4e58a6"


def of(push: str, proxies: str = "[]", tokens: tuple[str, ...] = ()) -> list[str]:
    person = f'[[person]]\nname = "Ana"\npush = "{push}"\n'
    web = f"[web]\ntrusted_proxies = {proxies}\n"
    return list(exposures(declared(SITE + WALNUT + person + web), set(tokens)))


@pytest.mark.parametrize("topic", ["ana", "hens", "ana-hens", "Walnut-Orchard-2026", "a" * 60])
def test_s4_a_topic_that_can_be_guessed_is_noted_and_never_repeated(topic: str) -> None:
    [said] = of(f"https://push.example.net/{topic}")
    assert "Ana's push topic is short or easy to guess" in said
    [proposed] = re.findall(r"https://push\.example\.net/[\w-]+", said)
    assert not is_guessable(proposed.rpartition("/")[2], declared(SITE + WALNUT))


def test_s4_a_long_random_topic_over_https_is_nothing_to_note() -> None:
    assert of(f"https://push.example.net/{LONG}", '["127.0.0.1", "10.0.0.0/8"]') == []
    assert of(f"http://127.0.0.1:8080/{LONG}") == []


def test_s4_a_token_in_the_clear_is_noted() -> None:
    server = "http://push.example.net"
    [said] = of(f"{server}/{LONG}")
    assert "learns the topic of Ana" in said
    [said] = of(f"{server}/{LONG}", tokens=(server,))
    assert "the topic and the token" in said


@pytest.mark.parametrize("network", ["0.0.0.0/0", "::/0", "8.0.0.0/8"])
def test_s15_believing_everybody_is_noted(network: str) -> None:
    [said] = of(f"https://push.example.net/{LONG}", f'["{network}"]')
    assert said.startswith(f"trusted_proxies believes all of {network}")


def test_s4_a_server_alone_gets_a_long_topic_and_a_whole_address_is_left_alone() -> None:
    made = {
        with_topic(server) for server in ("https://push.example.net", "https://push.example.net/")
    }
    assert len(made) == 2, "every one is another"
    for one in made:
        assert re.fullmatch(r"https://push\.example\.net/hens-[0-9a-f]{24}", one)
    for whole in ("https://push.example.net/mine", "", "nonsense"):
        assert with_topic(whole) == whole
