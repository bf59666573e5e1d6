"""About: cautions as the jobs say them, whose data are used, licences; and what More lists."""

import html
import re
from importlib.metadata import version
from pathlib import Path

from scheduler.cares.catalogue import read
from scheduler.profile.package_data import catalogue
from scheduler.web.views.about import libraries
from scheduler.wording.sources.attribution import ClimateAttribution, PlacesAttribution
from tests.faults.house import ROOT, household
from tests.web.front import Front, front
from tests.web.test_screens import screen


def shown(pages: Front, path: str = "/about", who: str = "ana") -> str:
    """The page without its marks."""
    text = html.unescape(re.sub(r"<[^>]+>", "", pages.get(path, who=who).text))
    return text.replace("\N{FIRST STRONG ISOLATE}", "").replace("\N{POP DIRECTIONAL ISOLATE}", "")


def test_whoever_is_signed_in_may_open_it_and_nobody_else(pages: Front) -> None:
    assert pages.get("/about").status == 403
    assert pages.get("/about", who="kim").status == 200
    assert pages.get("/about", Cookie=screen(pages)).status == 200


def test_a_caution_is_what_the_catalogue_says_and_not_typed_twice(looked_at: Front) -> None:
    text = shown(looked_at)
    jobs = {care.id: str(care.why) for care in read(catalogue())}
    for job, part in {
        "brooder-evening": "it can start a fire",
        "drinker-heaters": "Leave wiring to an electrician",
        "ammonia-sniff": "Ammonia is strongest at dawn",
        "first-aid-box": "Keep only medicines with a label or from a vet",
        "order-start": "The order and your local rules decide",
        "egg-collection": "Wash your hands with soap",
    }.items():
        assert part in jobs[job]
        assert part in text
        assert part not in (ROOT / "scheduler/web/templates/about.html").read_text()


def test_the_words_are_those_of_the_region(tmp_path: Path) -> None:
    with household(tmp_path) as house:
        house.body = house.body.replace('region = "UK"', 'region = "AU"')
        with front(house, published=False) as pages:
            assert "withholding period for eggs" in shown(pages)


def test_whose_data_and_drawings_are_used_is_named_with_licences(looked_at: Front) -> None:
    text = shown(looked_at)
    for named in (
        ClimateAttribution.climate_map(),
        PlacesAttribution.place_names(),
        "Lucide (ISC)",
    ):
        assert named in text
    assert f"Duskfold {version('duskfold')}" in text
    assert "under the MIT licence" in text
    assert (ROOT / "LICENSE").read_text().startswith("MIT License")


def test_each_library_is_named_with_a_licence() -> None:
    declared = re.findall(
        r'^    "([a-z]+)[>=]',
        (ROOT / "pyproject.toml").read_text().partition("[project.opt")[0],
        re.MULTILINE,
    )
    named = dict(libraries())
    assert {one for one in declared if one != "uvloop"} <= named.keys()
    assert all(named.values())


def test_more_lists_each_page_once_with_a_drawing(looked_at: Front) -> None:
    text = looked_at.get("/more", who="ana").text.partition('<ul class="places">')[2]
    listed = re.findall(r'<li><a href="([^"]+)"[^>]*><svg class="icon"', text)
    assert len(listed) == len(set(listed))
    assert {"/about", "/status", "/diary.csv", "/change"} <= set(listed)
    assert listed[-1].startswith("/people/end?session="), "signing out comes last"


def test_ready_for_tonight_is_listed_only_until_it_is(pages: Front) -> None:
    assert 'href="/begun"' in pages.get("/more", who="ana").text, "nobody else is signed in"
    pages.cookie("kim")
    assert 'href="/begun"' not in pages.get("/more", who="ana").text
    pages.house.write_profile(pages.house.body.replace('push = "{push}/ana-{secret}"\n', ""))
    pages.stop()
    pages.start()
    assert 'href="/begun"' in pages.get("/more", who="ana").text, "nothing reaches Ana"
    assert 'href="/begun"' not in pages.get("/more", who="kim").text
