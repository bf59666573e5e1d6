"""Loud is for doors, missing birds, emergencies, and word that a door may go untold."""

import ast
from collections.abc import Iterator
from pathlib import Path

from scheduler.alerts.decide import LOUDNESS
from scheduler.alerts.delivery import LOUD
from scheduler.messages import reminders

ROOM = Path(reminders.__file__).parents[1]
LEVELS = {"LOUD", "LOUDEST", "LOUDNESS"}
LOUD_ONES = {
    "messages/reminders.py: reminder": "a door",
    "messages/reminders.py: _reopened": "a door",
    "messages/reminders.py: held": "a door",
    "messages/news.py: emptied": "a door: nobody will be reminded of it",
    "messages/by_day.py: let_out": "a door: chosen in the profile",
    "messages/evening.py: briefly": "a door: its words cannot be made",
    "alerts/decide.py: reminders": "a door",
    "alerts/while_open.py: _renewed": "a door",
    "alerts/once_shut.py: _emptied": "a door: nobody will be reminded of it",
    "alerts/search_call.py: priority": "missing birds",
    "alerts/once_shut.py: _news": "missing birds",
    "messages/news.py: _missed_late": "missing birds",
    "messages/emergency.py: emergency": "an emergency",
    "messages/ways_out.py: trouble": "a door may go untold: an address or a channel is broken",
    "messages/ways_out.py: lacks_secret": "a door may go untold: a channel lacks its secret",
    "messages/own_faults.py: cannot_plan": "a door may go untold: no evening worked out",
    "messages/own_faults.py: recovered": "a door may go untold: what was said of it is lost",
    "messages/own_faults.py: unknown_time": "a door may go untold: the clock is wrong",
    "messages/own_faults.py: said_ahead": "a door may go untold: what was said is taken back",
    "messages/own_faults.py: missed_evenings": "a door went untold",
}


def loud_in(tree: ast.Module) -> Iterator[str]:
    """The functions that use a loud level, other than to compare with it."""
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        compared = {
            inner
            for node in ast.walk(function)
            if isinstance(node, ast.Compare)
            for inner in ast.walk(node)
        }
        for node in ast.walk(function):
            named = (isinstance(node, ast.Name) and node.id in LEVELS) or (
                isinstance(node, ast.Attribute) and node.attr in LEVELS
            )
            level = node.value if isinstance(node, ast.keyword) and node.arg == "priority" else None
            numbered = isinstance(level, ast.Constant)
            if (named and node not in compared) or numbered:
                yield function.name


def test_only_these_are_loud_each_for_its_reason() -> None:
    sources = {path: path.read_text(encoding="utf-8") for path in ROOM.rglob("*.py")}
    found = {
        f"{path.relative_to(ROOM)}: {name}"
        for path, source in sources.items()
        if path.name != "delivery.py" and ("LOUD" in source or "priority=" in source)
        for name in loud_in(ast.parse(source))
    }
    assert found == set(LOUD_ONES)


def test_of_the_steps_for_a_door_the_first_alone_is_not_loud() -> None:
    levels = LOUDNESS
    assert [kind for kind, level in levels.items() if level < LOUD] == ["heads-up"]


def test_a_new_loud_message_is_found() -> None:
    source = """
def by_name(): return Message(title="", priority=LOUD if hot else QUIET)
def by_module(): return Message(title="", priority=delivery.LOUDEST)
def by_number(): return Message(title="", priority=5)
def by_change(message): return replace(message, priority=LOUD)
def compared(message): return message.priority >= LOUD
"""
    assert set(loud_in(ast.parse(source))) == {"by_name", "by_module", "by_number", "by_change"}
