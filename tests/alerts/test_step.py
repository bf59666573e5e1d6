"""Steps are written and read in one place, and what was written once is read for ever."""

import ast
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

import scheduler
from scheduler.alerts.step import FORMS, LONGEST, Step, StepKind, decode, nth, step_at
from scheduler.profile.person import ReminderStep
from tests.alerts.orchard import at

CODEC = "alerts/step.py"
# Where steps become text and text becomes steps: the journal, the ids on the wire, the log.
WRITES_THEM = {
    "journal/rows.py",
    "journal/claims.py",
    "journal/clock_was_wrong.py",
    "journal/history.py",
    "alerts/delivery.py",
}
ids = st.from_regex(r"[a-z0-9é]+(-(for|[a-z0-9]+))*", fullmatch=True)
counts = st.integers(0, 400)
clocks = st.times().map(lambda time: f"{time:%H%M%S}")
PARTS: dict[str, st.SearchStrategy[object]] = {
    "number": counts, "news": counts, "about": ids, "clock": clocks, "origin": ids,
    "channel": st.sampled_from(["push", "service", "mail"]),
    "day": st.dates().map(str) | st.dates().map("{:%d}".format),
    "of": st.builds(Step, st.sampled_from(["now", "bedtime"]), origin=st.just("") | ids),
}  # fmt: skip


def of_kind(kind: StepKind) -> st.SearchStrategy[Step]:
    """Every step of a kind: all that it needs, and what it may have or not."""
    optional, needed = [], FORMS[kind]
    while "[" in needed:
        start, end = needed.index("["), needed.index("]")
        optional.append([name for name in PARTS if f"{{{name}}}" in needed[start:end]])
        needed = needed[:start] + needed[end + 1 :]
    fixed = st.fixed_dictionaries({n: PARTS[n] for n in PARTS if f"{{{n}}}" in needed})
    groups: list[st.SearchStrategy[dict[str, object]]] = [
        st.just({}) | st.fixed_dictionaries({name: PARTS[name] for name in group})
        for group in optional
    ]
    return st.tuples(fixed, *groups).map(
        lambda found: Step(kind, **{name: part for some in found for name, part in some.items()})
    )


# What a house, a person or another version is called may read like any other step.
ALL = st.sampled_from([kind for kind in FORMS if kind != "other"]).flatmap(of_kind)


@given(ALL)
def test_what_is_written_of_a_step_is_read_as_that_step(step: Step) -> None:
    assert decode(str(step)) == step


@given(st.text(max_size=60) | ids)
def test_whatever_was_kept_is_written_back_as_it_was(text: str) -> None:
    assert str(decode(text)) == text


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("heads-up", Step("heads-up")),
        ("now", Step("now")),
        ("again", Step("again")),
        ("next-for-ana", Step("next", origin="ana")),
        ("now-for-stand-in-for-ana", Step("now", origin="stand-in-for-ana")),
        ("everybody-2", Step("everybody", 2)),
        ("everybody-2-for-ben-2", Step("everybody", 2, origin="ben-2")),
        ("hourly-12", Step("hourly", 12)),
        ("bedtime", Step("bedtime")),
        ("dawn", Step("dawn")),
        ("reopened", Step("reopened")),
        ("reopened-2", Step("reopened", 2)),
        ("open-again", Step("open-again")),
        ("renewed-0", Step("renewed", 0)),
        ("renewed-3-for-ana", Step("renewed", 3, origin="ana")),
        ("shut", Step("shut")),
        ("shut-then-1", Step("shut", news=1)),
        ("settled", Step("settled")),
        ("settled-2", Step("settled", 2)),
        ("settled-2-then-3", Step("settled", 2, news=3)),
        ("settled-then-3", Step("settled", news=3)),
        ("search-first", Step("search-first")),
        ("search-second-look-2", Step("search-second-look", 2)),
        ("search-before-let-out", Step("search-before-let-out")),
        ("search-renewed-1", Step("search-renewed", 1)),
        ("news-1", Step("news", 1)),
        ("empty", Step("empty")),
        ("hold-3", Step("hold", 3)),
        ("hold", Step("hold")),
        ("clear-everybody-1", Step("clear", of=Step("everybody", 1))),
        ("clear-now-for-ana", Step("clear", of=Step("now", origin="ana"))),
        ("taken-0", Step("taken", 0)),
        ("taken-2-22-evening", Step("taken", 2, day="22", about="evening")),
        ("not-taken-1-22-day", Step("not-taken", 1, day="22", about="day")),
        ("not-taken-of-0", Step("not-taken-of", 0)),
        ("urgent-midday", Step("midday")),
        ("urgent-midday-for-ana", Step("midday", origin="ana")),
        ("urgent-heat-080000", Step("urgent", about="heat", clock="080000")),
        ("urgent-heat-080000-for-ana", Step("urgent", about="heat", clock="080000", origin="ana")),
        ("urgent-heat-3", Step("urgent", about="heat", clock="3")),  # of an early version
        ("over-snow-170000", Step("over", about="snow", clock="170000")),
        ("back-snow-170500", Step("urgent-again", about="snow", clock="170500")),
        ("back-170500", Step("duty-back", clock="170500")),
        ("left-170500", Step("left", clock="170500")),
        ("moved-170500", Step("moved", clock="170500")),
        ("emptied-170500", Step("emptied", clock="170500")),
        ("renamed-170500", Step("renamed", clock="170500")),
        ("profile-170500", Step("profile", clock="170500")),
        ("brief", Step("brief")),
        ("let-out-walnut", Step("let-out", about="walnut")),
        ("let-out-house-for-chicks", Step("let-out", about="house-for-chicks")),
        ("heat-in-walnut", Step("heat-in", about="walnut")),
        ("range-walnut", Step("range", about="walnut")),
        ("eggs-walnut-2-170500", Step("eggs", about="walnut-2", clock="170500")),
        ("plan-walnut", Step("plan", about="walnut")),
        ("lacks-mail-mail.example.org", Step("lacks", channel="mail", about="mail.example.org")),
        ("trouble-push-all", Step("trouble", channel="push", about="all")),
        ("clock-ahead", Step("clock-ahead")),
        ("clock-2026-11-29", Step("clock", day="2026-11-29")),
        ("said-ahead-170500", Step("said-ahead", clock="170500")),
        ("recovered", Step("recovered")),
        ("not-written", Step("not-written")),
        ("deaf", Step("deaf")),
        ("heard-again", Step("heard-again")),
        ("missed", Step("missed")),
        ("missed-2", Step("missed", 2)),
        ("test-0f1e2d3c4b5a6978", Step("test", about="0f1e2d3c4b5a6978")),
        ("entry-invited-0f1e2d3c", Step("entry-invited", about="0f1e2d3c")),
        ("entry-signed-in-0f1e2d3c", Step("entry-signed-in", about="0f1e2d3c")),
        ("entry-renewed-ana-2-3", Step("entry-renewed", 3, about="ana-2")),
        ("entry-answers-2", Step("entry-answers", 2)),
        ("entry-ended-170500", Step("entry-ended", clock="170500")),
        ("of-a-later-version", Step("other", about="of-a-later-version")),
    ],
)  # fmt: skip
def test_every_text_that_was_ever_written_is_read(text: str, step: Step) -> None:
    assert decode(text) == step
    assert str(step) == text


def test_there_is_one_form_for_each_kind_and_a_kind_for_each_reminder() -> None:
    assert set(FORMS) == set(get_args(StepKind))
    assert all(Step(kind).is_reminder for kind in get_args(ReminderStep))


def test_a_step_is_made_of_what_came_up_and_how_often() -> None:
    assert str(step_at("eggs", at("17:05"), "walnut")) == "eggs-walnut-170500"
    assert [str(nth("missed", number)) for number in (0, 1, 2)] == ["missed", "missed", "missed-2"]
    assert str(Step("now").text_once_more) == "now-again"
    assert str(replace(Step("now", origin="ana")).told) == "now"


def test_a_step_fits_where_it_is_kept() -> None:
    long = Step("lacks", channel="push", about="https://push." + "a" * 90)
    assert str(long.fitted) == str(long)[:LONGEST]
    assert decode(str(long.fitted)) == long.fitted
    assert Step("brief").fitted == Step("brief")


def sources() -> Iterator[tuple[str, ast.AST]]:
    """Each node of the program's source, with its file."""
    root = Path(scheduler.__file__).parent
    for file in sorted(root.rglob("*.py")):
        name = file.relative_to(root).as_posix()
        # A step of the first questions is a page.
        if name != CODEC and "migrations" not in name and "first_run" not in name:
            yield from ((name, node) for node in ast.walk(ast.parse(file.read_text())))


def is_step(node: ast.AST) -> bool:
    """Whether an expression is a step by its name."""
    return (node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")) == "step"


def is_text_of_a_step(name: str, node: ast.AST) -> bool:
    """Whether text is made of a step there, or a step of text, or one is treated as text."""
    match node:
        case ast.FormattedValue(value=one):
            return is_step(one)
        case ast.Compare(left=one, comparators=with_what):
            return is_step(one) and any(isinstance(each, ast.Constant) for each in with_what)
        case ast.Attribute(value=one, attr=method):
            return is_step(one) and hasattr(str, method)
        case ast.Call(func=ast.Name(id="str" | "decode"), args=those):
            return any(map(is_step, those)) and name not in WRITES_THEM
        case ast.JoinedStr(values=[ast.Constant(value=str(begin)), *_]):
            return begin.endswith("-") and any(one.startswith(begin) for one in BEGIN)
    return False


BEGIN = {
    f"{form.split('{', 1)[0].split('[', 1)[0]}-".replace("--", "-")
    for form in FORMS.values()
    if form[0] != "{"
}


def test_nothing_else_makes_or_takes_apart_the_text_of_a_step() -> None:
    assert {"everybody-", "hold-", "let-out-", "urgent-"} <= BEGIN
    assert [
        (name, ast.unparse(node)) for name, node in sources() if is_text_of_a_step(name, node)
    ] == []


@pytest.mark.parametrize(
    "source",
    ['step.startswith("urgent")', 'f"hold-{number}"', 'f"{row.key.step} again"', "str(key.step)",
     'row.key.step == "now"', 'row.key.step.partition("-")', "decode(one.step)"],
)  # fmt: skip
def test_what_would_is_found(source: str) -> None:
    assert any(is_text_of_a_step("watch/relay.py", node) for node in ast.walk(ast.parse(source)))
