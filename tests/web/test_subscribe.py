"""Subscribe recommends one way, by what the browser says of its device; the others are folded."""

import re
from pathlib import Path

import pytest

from scheduler.web.device_kind import device_kind
from tests.faults.house import household
from tests.web.front import Front, front

# Of the form that browsers send, which their makers publish.
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 Safari/604.1"
IPAD = "Mozilla/5.0 (iPad; CPU OS 16_6 like Mac OS X) AppleWebKit/605.1.15 Safari/604.1"
MAC = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 Safari/605.1.15"
ANDROID = "Mozilla/5.0 (Linux; Android 14; Phone) AppleWebKit/537.36 Chrome/126.0 Mobile Safari"
FIREFOX = "Mozilla/5.0 (Android 14; Mobile; rv:127.0) Gecko/127.0 Firefox/127.0"
WINDOWS = "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 Chrome/126.0 Safari/537.36"
LINUX = "Mozilla/5.0 (X11; Linux x86_64; rv:127.0) Gecko/20100101 Firefox/127.0"
AGENTS = {
    IPHONE: "iphone",
    IPAD: "ipad",
    MAC: "mac",
    ANDROID: "android",
    FIREFOX: "android",
    WINDOWS: "computer",
    LINUX: "computer",
    "a program": "unknown",
    "": "unknown",
}
TAPS = {"iphone": "this iPhone", "ipad": "this iPad", "mac": "this Mac or iPad"}


@pytest.mark.parametrize(("agent", "kind"), AGENTS.items())
def test_a_browser_says_which_kind_of_device_it_is_on(agent: str, kind: str) -> None:
    assert device_kind(agent) == kind


def asked(pages: Front, agent: str, path: str = "/subscribe") -> str:
    """The page, asked in the name of that device."""
    return pages.get(path, who="ana", User_Agent=agent).text


def test_one_way_is_recommended_by_device_and_before_all_others(pages: Front) -> None:
    evenings = pages.calendar()
    for agent, kind in AGENTS.items():
        text = asked(pages, agent)
        card = text.partition('aria-labelledby="recommended"')[2].partition("</section>")[0]
        assert text.index("recommended") < text.index("Other ways")
        buttons = re.findall(r'<a class="big" href="(\w+):[^"]*">([^<]+)</a>', card)
        if kind in TAPS:
            assert buttons == [("webcal", f"Subscribe on {TAPS[kind]}")], agent
        else:
            assert buttons == [], agent
            assert "Copy this address" in card
        assert 'class="big good"' not in text, "green says that a door is shut"
        assert text.count(f'{evenings}"') == card.count(f'{evenings}"'), "and nowhere else"
        assert f'value="{pages.url}{evenings}"' in card


def test_an_android_phone_is_offered_nothing_that_android_cannot_do(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, base_url="https://hens.test") as pages:
        for agent in (ANDROID, FIREFOX):
            text = asked(pages, agent)
            assert "webcal:" not in text
            assert "calendar.google.com" not in text
            assert "Android cannot do it by itself." in text
        assert "calendar.google.com" in asked(pages, WINDOWS)
        scanned = f"/subscribe/{pages.calendar().split('/')[2]}"
        assert "webcal:" not in asked(pages, ANDROID, scanned)
        assert "webcal:" in asked(pages, IPHONE, scanned)


def test_a_tablet_that_calls_itself_a_computer_is_not_shown_what_it_was_before(
    pages: Front,
) -> None:
    assert "Subscribe on this iPad" in asked(pages, IPAD)
    assert "Subscribe on this Mac or iPad" in asked(pages, MAC)
