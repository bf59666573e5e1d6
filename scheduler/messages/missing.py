"""Who is not in a house, or in it all the same: how many, since when, which number is right."""

from scheduler.cares.door_state import Door
from scheduler.messages.phrases import at_least, was_were
from scheduler.profile.words import day_words

UNCOUNTED = "some were missing, and nobody has counted since"


def who_is_missing(state: Door) -> list[str]:
    """Of this evening, of the search and of evenings before: "2 missing", nothing for nobody."""
    parts = []
    if state.missing:
        parts.append("some missing" if state.vague else f"{state.missing} missing")
    if state.lost:
        parts.append(f"{at_least(state.lost, more=state.vague)} not found yet")
    if state.before:
        parts.append(missing_since(state))
    return parts


def not_all_in(state: Door) -> str:
    """What keeps the house from being all in, besides an open door; empty when nothing does."""
    over = [f"only {state.expected} expected"] if state.over else []
    return ", ".join([*who_is_missing(state), *over])


def amiss(state: Door) -> str:
    """The same, and that nobody has counted since some were missing; empty when all is well."""
    return not_all_in(state) or (UNCOUNTED if state.unsure else "")


def which_number(state: Door) -> str:
    if not state.over:
        return ""
    away = f" {state.away} should sleep elsewhere." if state.away else ""
    lost = (
        f" {state.given_up} {was_were(state.given_up)} given up for lost." if state.given_up else ""
    )
    back = " Or are they back home?" if state.may_come_home else ""
    dead = f" {told}." if (told := said_dead(state)) else ""
    return f"{away}{lost}{dead} Which number is right?{back}"


def said_dead(state: Door) -> str:
    """Who may live all the same, where more are in than belong there; empty for nobody.

    Says it as "1 was said to be dead on Mon 21 Dec".
    """
    dead = state.gone - state.given_up
    if not state.over or dead <= 0 or state.died_on is None:
        return ""
    last = ", the last" if dead > 1 else ""
    return f"{dead} {was_were(dead)} said to be dead{last} on {day_words(state.died_on)}"


def more_found(state: Door) -> str:
    """Asks who was found, where one may be among them who is thought lost or elsewhere, or ""."""
    if not state.is_surplus_asked:
        return ""
    birds, one = state.surplus, state.surplus == 1
    were = was_were(birds)
    where = [f"{were} given up for lost"] if state.gone else []
    where += [f"{'sleeps' if one else 'sleep'} elsewhere"] if state.away else []
    which = "Is it one that" if one else "Are some of them those that"
    so = "say that she is back home" if one else "say that they are back home"
    answer = f"If so, {so}; else count them." if state.may_come_home else "Count them."
    return (
        f"{birds} more {were} found than {were} known to be missing. "
        f"{which} {' or '.join(where)}? {answer}"
    )


def missing_since(state: Door) -> str:
    """Says it as "1 still missing since Mon 21 Dec", or "2 still missing, the first since" then.

    With the year, where the evening that is told of is in another.
    """
    evenings = {one.since for one in state.before}
    first = min(evenings)
    year = "" if first.year == state.evening.year else f" {first.year}"
    when = f"{day_words(first)}{year}"
    more = any(one.at_least for one in state.before)
    since = " since" if len(evenings) == 1 else ", the first since"
    return f"{at_least(state.missing_before, more=more)} still missing{since} {when}"
