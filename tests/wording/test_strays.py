"""Every text for people stands in `wording/`, in the catalogue or in a template."""

from pathlib import Path

import pytest

from tests.wording.strays import SCHEDULER, files, strays

NO_SENTENCES = {
    "watch/metronome.py": "why the guard ended the process, as the log has it",
    "journal/postgresql_says.py": "what PostgreSQL and its driver print, as it is looked for",
    "messages/site_news.py": "keys under which the journal keeps the site's own messages",
    "service/jobs/usual_words.py": "what people may type for a job or a time of the day",
    "web/page_headers.py": "what browsers read at the head of an answer",
    "cli/demo_garden.py": "a profile as its file has it; the names in it are Words",
    "places/regions.py": "what people may type for a country",
    "husbandry/figure.py": "the names of published sources, as they are printed",
}


@pytest.mark.parametrize("path", list(files()), ids=lambda path: str(path.relative_to(SCHEDULER)))
def test_no_text_for_people_stands_elsewhere(path: Path) -> None:
    name = str(path.relative_to(SCHEDULER))
    if name in NO_SENTENCES:
        return
    assert list(strays(path)) == []
