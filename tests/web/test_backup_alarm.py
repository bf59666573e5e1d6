"""The backup alarm on the page Subscribe: a button, a file to import, and what is noted of it."""

from datetime import date

from scheduler.journal import memos
from tests.feeds.proof import faults
from tests.web.front import Front

LAST = date(2027, 4, 4)


def noted(pages: Front) -> dict[str, date]:
    with pages.house.journal() as journal, journal.reading() as connection:
        return memos.backup_alarms(connection, "orchard")


def test_the_button_notes_who_gets_it_and_leads_to_the_file(pages: Front) -> None:
    text = pages.get("/subscribe", who="kim").text
    assert "Get the backup alarm" in text
    assert "It rings on good evenings, too" in text
    assert "The one that you got last" not in text
    answer = pages.post("/backup-alarm", {}, who="kim")
    assert (answer.status, answer.headers["location"]) == (303, "/backup-alarm.ics")
    assert noted(pages) == {"kim": LAST}
    file = pages.get("/backup-alarm.ics", who="kim")
    assert file.headers["content-type"] == "text/calendar; charset=utf-8"
    assert file.headers["content-disposition"] == 'inline; filename="backup-alarm.ics"'
    assert faults(file.body) == []
    assert file.body.count(b"BEGIN:VEVENT") == 105
    text = pages.get("/subscribe", who="kim").text
    assert "The one that you got last rings until 4 April 2027" in text
    assert "The one that you got last" not in pages.get("/subscribe", who="ana").text


def test_a_look_at_the_file_notes_nothing_and_nobody_else_gets_it(pages: Front) -> None:
    assert pages.get("/backup-alarm.ics", who="ana").status == 200
    assert pages.get("/backup-alarm.ics").status == 403
    assert pages.post("/backup-alarm", {}).status == 403
    assert pages.get("/backup-alarm", who="ana").headers["location"] == "/subscribe"
    assert noted(pages) == {}


def test_a_shared_screen_has_no_phone_to_import_it_on(pages: Front) -> None:
    assert pages.get("/backup-alarm.ics", who="screen:kitchen").status == 403
    assert pages.post("/backup-alarm", {"by": "ana"}, who="screen:kitchen").status == 403
    assert noted(pages) == {}


def test_status_says_who_would_be_rung_if_this_machine_stopped(pages: Front) -> None:
    text = pages.get("/status", who="ana").text
    assert "If this machine stopped now" in text
    assert "Tonight: nothing rings Ana." in text
    assert "nothing would ring Ana and Kim tonight" in text, "no watch runs here"
    pages.post("/backup-alarm", {}, who="ana")
    text = pages.get("/status", who="ana").text
    assert "the backup alarm that Ana fetched rings at about 16:38" in text
    assert "nothing would ring Kim tonight" in text
    assert "stopped now" not in pages.get("/week", who="ana").text, "no other page says it"


def test_a_house_without_birds_has_nothing_to_ring_for(pages: Front) -> None:
    body = pages.house.body.replace("hens = 12", "hens = 12\narrived = 2027-06-01")
    pages.house.write_profile(body)
    answer = pages.post("/backup-alarm", {}, who="ana")
    assert answer.headers["location"] == "/subscribe?nothing=1#backup-alarm"
    assert "nothing to ring for" in pages.get("/subscribe?nothing=1", who="ana").text
    assert noted(pages) == {}
