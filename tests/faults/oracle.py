"""The oracle: what must be true after every fault (FAULTS.md, O1–O5, O8, O10–O12).

O6 (a failing channel delays no other) and O9 (health tells in time) need the fault's own moments
and are asked by the tests of those faults; O7 is asked by tests/service/test_publish.py.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.step import decode
from scheduler.cares.closing import Closing
from scheduler.cares.door_fold import door
from scheduler.journal import deliveries
from scheduler.machine.paths import JOURNAL_NAME
from tests.faults.house import TOPIC_SECRET, House, key_of
from tests.journal.as_said import AsSaid, as_said
from tests.sinks.smtp import PASSWORD


def ask(house: House) -> None:
    """Asks everything; fails with the first answer that is wrong."""
    if not (house.data / JOURNAL_NAME).exists():
        return
    assert house.rows("PRAGMA integrity_check") == [("ok",)], "O8: the file is damaged"
    _every_due_step_has_its_rows(house)
    _nothing_outside_its_time(house)
    _one_id_and_no_more_sends_than_attempts(house)
    _no_attempt_after_the_closing(house)
    _nothing_waits_past_its_use(house)
    _nothing_held_rings_after_the_closing(house)
    _nothing_to_do_only_when_all_are_in(house)
    _no_secret_in_the_logs(house)


def _closings(house: House) -> dict[tuple[str, str], list[tuple[str, int]]]:
    found = defaultdict(list)
    for coop, evening, kind, made_at, undone_at in house.rows(
        "SELECT coop_id, evening, kind, made_at, undone_at FROM closing ORDER BY number"
    ):
        found[coop, evening].append((kind, made_at))
        if undone_at is not None and kind in {"closed", "reopened"}:
            found[coop, evening].append(("reopened", undone_at))
    return found


def _every_due_step_has_its_rows(house: House) -> None:
    """O1, as far as the watch has looked and could write."""
    pulse = house.pulse
    if pulse is None or pulse.fault:
        return
    looked = datetime.fromisoformat(pulse.wall)
    said = _closings(house)
    with house.journal() as journal, journal.reading() as connection:
        site_id = house.household().profile.site.id
        begun = deliveries.evenings(connection, site_id, house.day.replace(year=2000))
        rows = deliveries.rows_since(connection, site_id, house.day.replace(year=2000))
    for evening in begun:
        if any(said.get((door.coop_id, evening.day.isoformat())) for door in evening.doors):
            continue  # what the closing dropped is the business of O4
        written = defaultdict(set)
        for row in rows:
            if (row.key.day, row.key.subject_id) == (evening.day, evening.subject_id):
                written[str(row.key.step)].add(row.key.person_id)
        for step in evening.steps:
            if step.at < looked:
                left = {person_id for day, person_id in house.left if day == evening.day}
                missing = set(step.people) - written[str(step.name)] - left
                assert not missing, f"O1: {evening.day} {step.name} is not written down"


def _nothing_outside_its_time(house: House) -> None:
    """O2."""
    late = house.rows(
        "SELECT d.step, a.began_at, d.due_at, d.useful_until FROM attempt a JOIN delivery d ON "
        "d.id = a.delivery_id WHERE a.began_at < d.due_at OR a.began_at > d.useful_until"
    )
    assert late == [], "O2: sent before due or after it was of use"


def _one_id_and_no_more_sends_than_attempts(house: House) -> None:
    """O3, on the wire: ids are those of the keys, sends no more than recorded attempts.

    And the other way round (O5): what is written down as sent has come.
    """
    known: dict[str, tuple[str, int, str]] = {}
    second: dict[str, str] = {}  # what went out again because it went out too early
    for row in house.rows(
        "SELECT site_id, subject_id, day, step, opening, person_id, channel, attempts, state, "
        "key_address FROM delivery WHERE operation = 'send'"
    ):
        key = replace(key_of(row), address=row[9])
        known[key.message_id] = (row[3], row[7], row[8])
        second[key.id_of_second] = key.message_id
    wire: Counter[str] = Counter()
    pushes, mails = house.forgotten
    for event in house.push.events.all()[pushes:]:
        if event.event == "message" and "sequence_id" in event.said and "delay" not in event.said:
            message_id = str(event.said["sequence_id"])
            wire[second.get(message_id, message_id)] += 1
    for mail in house.smtp.mails.all()[mails:]:
        message_id = mail.message_id.strip("<>").partition("@")[0]
        wire[second.get(message_id, message_id)] += 1
    for got in house.phones_at.taken.all() if house.phones_at else ():
        wire[str(got.notification["data"]["receipt"]).split()[1]] += 1
    for message_id, sends in wire.items():
        assert message_id in known, "O3: something was sent that is not written down"
        step, attempts, _ = known[message_id]
        assert sends <= attempts, f"O3: {step} was sent {sends} times in {attempts} attempts"
    if house.forgotten == (0, 0):
        for message_id, (step, _, state) in known.items():
            assert state != "sent" or wire[message_id], f"O5: {step} was not sent"


def _no_attempt_after_the_closing(house: House) -> None:
    """O4: no attempt of a reminder starts after the closing of the evening's last open door.

    Times tell nothing of an evening whose clock was set back.
    """
    with house.journal() as journal, journal.reading() as connection:
        site_id = house.household().profile.site.id
        begun = deliveries.evenings(connection, site_id, house.day.replace(year=2000))
    said = _closings(house)
    for evening in begun:
        told = [said.get((door.coop_id, evening.day.isoformat()), []) for door in evening.doors]
        closed = all(any(kind == "closed" for kind, _ in list_) for list_ in told)
        if (
            not closed
            or evening.day in house.set_back
            or any(kind == "reopened" for list_ in told for kind, _ in list_)
        ):
            continue
        shut_at = max(min(at for kind, at in list_ if kind == "closed") for list_ in told)
        for step, began_at in house.rows(
            "SELECT d.step, a.began_at FROM attempt a JOIN delivery d ON d.id = a.delivery_id "
            "WHERE d.day = ? AND d.subject_id = ? AND d.operation = 'send'",
            evening.day.isoformat(),
            evening.subject_id,
        ):
            if decode(step).is_reminder:
                assert began_at <= shut_at, f"O4: {step} was begun after the door was shut"


def _nothing_waits_past_its_use(house: House) -> None:
    """O5: every reminder ends as sent, perhaps sent, dead, dropped or missed; none just waits."""
    now = int(house.now.astimezone(UTC).timestamp())
    pulse = house.pulse
    if pulse is None or pulse.trust != "trusted" or house.process is None:
        return
    waiting = house.rows(
        "SELECT step, state FROM delivery WHERE useful_until < ? AND state NOT IN "
        "('sent', 'perhaps sent', 'dead', 'dropped', 'missed', 'early')",
        now - 1,
    )
    assert waiting == [], "O5: silently lost"


def _nothing_held_rings_after_the_closing(house: House) -> None:
    """O11: once every door is shut and nothing waits, no push server holds a message of ours.

    A message that phones have had since is no matter of the server any more.
    """
    pulse = house.pulse
    if house.process is None or pulse is None or pulse.fault or pulse.trust != "trusted":
        return
    waiting = house.rows(
        "SELECT count(*) FROM delivery WHERE operation = 'cancel' "
        "AND state IN ('pending', 'sending')"
    )
    under_way = [
        night
        for night in house.nights()
        if night.noon <= house.now < night.evening.let_out and night.evening.crew
    ]
    shut = all(not night.is_open for night in under_way)
    if waiting[0][0] or not under_way or not shut or house.forgotten != (0, 0):
        return
    to_ring = [at for at, _ in house.push.held.values() if at > house.now.timestamp()]
    assert to_ring == [], "O11: a held message rings although every door is shut"


def _nothing_to_do_only_when_all_are_in(house: House) -> None:
    """O12: whoever was told that there is nothing to do was told so of birds that are all in.

    Of what was said in the second of the sending nobody knows whether it came before it. Attempts
    before the one that arrived may have gone out in other words.
    """
    words = house.words
    with house.journal() as journal, journal.reading() as connection:
        site_id = house.household().profile.site.id
        begun = deliveries.evenings(connection, site_id, house.day.replace(year=2000))
        said = list(as_said(connection, site_id))
    made_at = [int(one.entry.said_at.timestamp()) for one in said]
    for evening in begun:
        for *of_key, began_at in house.rows(
            "SELECT d.site_id, d.subject_id, d.day, d.step, d.opening, d.person_id, d.channel, "
            "a.began_at FROM attempt a JOIN delivery d ON d.id = a.delivery_id "
            "AND a.number = d.attempts WHERE a.outcome = 'sent' AND d.day = ? AND d.subject_id = ? "
            "AND (d.step LIKE 'shut%' OR d.step LIKE 'settled%')",
            evening.day.isoformat(),
            evening.subject_id,
        ):
            key = key_of(of_key)
            told = words.get(key.message_id) or words.get(key.id_of_second) or ""
            if "Nothing to do" not in told:
                continue
            before = sum(at < began_at for at in made_at)
            until = sum(at <= began_at for at in made_at)
            assert any(
                _are_all_in(evening, [one.closing for one in said[:number] if _held(one, began_at)])
                for number in range(before, until + 1)
            ), f"O12: {evening.day}: nothing to do, and not all are in"


def _held(said: AsSaid, at_s: int) -> bool:
    return said.undone_at is None or said.undone_at.timestamp() >= at_s


def _are_all_in(evening: Evening, said: Sequence[Closing]) -> bool:
    states = [door(said, one.coop_id, evening.day, one.profile_birds) for one in evening.doors]
    return all(state.is_all_in or state.is_empty for state in states)


def _no_secret_in_the_logs(house: House) -> None:
    """O10."""
    for secret in (PASSWORD, TOPIC_SECRET, "@example", "Ana", "Kim", "Walnut", "duskfold-"):
        assert secret not in house.log, f"O10: {secret} stands in a log"
