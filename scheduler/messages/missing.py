"""Who is not in a house, or in it all the same: how many, since when, which number is right."""

from scheduler.cares.door_state import Door
from scheduler.messages.phrases import at_least
from scheduler.wording.messages.missing import Missing, MoreFound, WhichNumber
from scheduler.wording.spoken import in_a_row, sentence, short_day, short_day_with_year

# By whether some are gone, and whether some sleep elsewhere.
_ASKED = {
    (True, False): MoreFound.lost,
    (False, True): MoreFound.away,
    (True, True): MoreFound.lost_or_away,
}


def who_is_missing(state: Door) -> list[str]:
    """Of this evening, of the search and of evenings before: "2 missing", nothing for nobody."""
    parts = []
    if state.missing:
        parts.append(Missing.some() if state.vague else Missing.birds(birds=state.missing))
    if state.lost:
        parts.append(Missing.not_found(birds=at_least(state.lost, more=state.vague)))
    if state.before:
        parts.append(missing_since(state))
    return parts


def not_all_in(state: Door) -> str:
    """What keeps the house from being all in, besides an open door; empty when nothing does."""
    over = [Missing.only_expected(birds=state.expected)] if state.over else []
    return in_a_row([*who_is_missing(state), *over])


def amiss(state: Door) -> str:
    """The same, and that nobody has counted since some were missing; empty when all is well."""
    return not_all_in(state) or (Missing.uncounted() if state.unsure else "")


def which_number(state: Door) -> str:
    """Why more may be in than belong there, and the question; empty where none are."""
    if not state.over:
        return ""
    said = []
    if state.away:
        said.append(WhichNumber.away(birds=state.away))
    if state.given_up:
        said.append(WhichNumber.given_up(birds=state.given_up))
    if dead := said_dead(state):
        said.append(sentence(dead))
    said.append(WhichNumber.asked())
    if state.may_come_home:
        said.append(WhichNumber.back_home())
    return " ".join(said)


def said_dead(state: Door) -> str:
    """Who may live all the same, where more are in than belong there; empty for nobody.

    Says it as "1 was said to be dead on Mon 21 Dec".
    """
    dead = state.gone - state.given_up
    if not state.over or dead <= 0 or state.died_on is None:
        return ""
    said = WhichNumber.dead if dead == 1 else WhichNumber.more_dead
    return said(birds=dead, day=short_day(state.died_on))


def more_found(state: Door) -> str:
    """Asks who was found, where one may be among them who is thought lost or elsewhere, or ""."""
    if not state.is_surplus_asked:
        return ""
    birds, answer = state.surplus, MoreFound.count()
    if state.may_come_home:
        answer = MoreFound.home(birds=birds)
    which = _ASKED[bool(state.gone), bool(state.away)](birds=birds, answer=answer)
    return MoreFound.found(birds=birds, which=which)


def missing_since(state: Door) -> str:
    """Says it as "1 still missing since Mon 21 Dec", or "2 still missing, the first since" then.

    With the year, where the evening that is told of is in another.
    """
    evenings = {one.since for one in state.before}
    first = min(evenings)
    day = (short_day if first.year == state.evening.year else short_day_with_year)(first)
    more = any(one.at_least for one in state.before)
    birds = at_least(state.missing_before, more=more)
    since = Missing.since if len(evenings) == 1 else Missing.first_since
    return since(birds=birds, day=day)
