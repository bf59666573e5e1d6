"""What the site tells besides its evenings goes through the journal as values, not as words."""

import inspect
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any, get_args, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from scheduler.alerts.delivery import Matter, Message
from scheduler.cares.records import ReportKind
from scheduler.messages import (
    brief,
    by_day,
    emergency,
    let_in,
    own_faults,
    profile_changed,
    ways_out,
)
from scheduler.messages.brief import Brief
from scheduler.messages.emergency import Reported, Urgent
from scheduler.messages.site_news import SAYINGS, news, of_site

MATTER = TypeAdapter(Matter)
# Made of another message, or said by nobody but the program that is asked.
NOT_KEPT_SO = {"relayed", "test"}
CHOICES = {"how": ["copy", "empty"], "channel": ["push", "mail", "service"]}
names = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
texts = st.lists(names, max_size=12).map(tuple)
MADE = {
    Brief: st.builds(
        Brief,
        **dict.fromkeys(("site_name", "lock_up", "link"), names),
        **dict.fromkeys(("worries", "urgent", "tonight", "walks", "seasons"), texts),
    ),
    Sequence[Urgent]: st.lists(
        st.builds(Urgent, what=names, when=names, why=names), min_size=1, max_size=3
    ),
    Sequence[Reported]: st.lists(
        st.builds(Reported, words=names, degrees=names, who=names, clock=names), max_size=2
    ),
    ReportKind: st.sampled_from(get_args(ReportKind)),
    Sequence[tuple[str, Sequence[date]]]: st.lists(
        st.tuples(names, st.lists(st.dates(), min_size=1, max_size=7)), max_size=3
    ),
}


def of_type(name: str, hint: Any) -> st.SearchStrategy[Any]:
    """Values of a parameter, as its callers give them."""
    if name in CHOICES:
        return st.sampled_from(CHOICES[name])
    if hint in MADE:
        return MADE[hint]
    if hint is int:
        return st.integers(1, 99_999)
    if hint in {bool, date}:
        return st.from_type(hint)
    found: st.SearchStrategy[Any] = names
    if "Sequence" in str(hint):
        found = st.lists(names, min_size=1, max_size=4)
    elif "tuple" in str(hint):
        found = st.tuples(names, names)
    return st.none() | found if "None" in str(hint) else found


@pytest.mark.parametrize("key", sorted(SAYINGS))
@given(data=st.data())
def test_it_is_worded_the_same_after_the_journal_as_before(key: str, data: st.DataObject) -> None:
    says = SAYINGS[key]
    hints = get_type_hints(says)
    hints.pop("return")
    values = {name: data.draw(of_type(name, hint), label=name) for name, hint in hints.items()}
    matter = news(says, **values)
    kept = MATTER.validate_json(MATTER.dump_json(matter))
    assert kept == matter
    assert of_site(kept) == says(**values)


def test_every_message_of_the_site_itself_is_among_them() -> None:
    found = {
        name
        for module in (brief, by_day, emergency, let_in, own_faults, profile_changed, ways_out)
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__
        and not name.startswith("_")
        and get_type_hints(function).get("return") is Message
    }
    assert found - NOT_KEPT_SO == {says.__name__ for says in SAYINGS.values()}
    assert found >= NOT_KEPT_SO


def test_sentences_come_behind_it() -> None:
    matter = replace(news(own_faults.unknown_time), behind=("Urgent today: water.",))
    assert of_site(matter).body.endswith(" Urgent today: water.")


def test_what_another_program_kept_is_refused_and_not_guessed() -> None:
    for matter in (Matter(says="of next year", told="{}"), Matter(says="left", told="[]")):
        with pytest.raises((KeyError, TypeError, ValueError)):
            of_site(matter)
