"""The morning brief: whatever is not in order, today's times and jobs, on eight lines at most."""

from dataclasses import dataclass

from scheduler.alerts.delivery import Message
from scheduler.messages.phrases import TITLE_LENGTH
from scheduler.profile.values import Profile
from scheduler.profile.words import words

MOST_LINES = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """What the brief is made of; times are written out already.

    `lock_up` is the first of tonight, empty where there is none. `worries` is whatever is not in
    order, in plain sentences; `urgent` the jobs that cannot wait; `tonight` has one line a house,
    `walks` one a walk; `seasons` is what changes from today on. `jobs` and `minutes` count all of
    the day. `link` leads to the page that has everything.
    """

    site_name: str
    lock_up: str
    jobs: int
    minutes: int
    worries: tuple[str, ...] = ()
    urgent: tuple[str, ...] = ()
    tonight: tuple[str, ...] = ()
    walks: tuple[str, ...] = ()
    seasons: tuple[str, ...] = ()
    link: str = ""


def brief(of: Brief) -> Message:
    """The message: lock-up and jobs in the title; worries first, then what is urgent."""
    jobs = f"{of.jobs} job{'' if of.jobs == 1 else 's'}, {of.minutes} min" if of.jobs else "no jobs"
    title = f"Today: lock up {of.lock_up}, {jobs}" if of.lock_up else f"Today: {jobs}"
    if of.worries:
        title += f"; {len(of.worries)} to look at"
    lines = [*of.worries, *of.urgent, *of.tonight, *of.walks]
    lines += [f"New today: {'; '.join(of.seasons)}."] if of.seasons else []
    if len(lines) > MOST_LINES:
        left = len(lines) - MOST_LINES + 1
        where = "open Today" if of.link else "the rest is in today's plan"
        lines = [*lines[: MOST_LINES - 1], f"And {left} lines more: {where}."]
    stem = f"Today at {of.site_name}"[:TITLE_LENGTH]
    return Message(title[:TITLE_LENGTH], "\n".join(lines), stem=stem, link=of.link)


def after_a_restart(profile: Profile) -> str:
    """That there was a restart, and what of this household's own it may have upset."""
    restarted = "Duskfold was restarted, perhaps by a power cut."
    owned = [
        name
        for name, has in (
            ("the lamp's timer", any(coop.light for coop in profile.coop)),
            (
                f"the heated {words(profile.site.region)['drinkers']}",
                any(drinker.heated for coop in profile.coop for drinker in coop.drinker),
            ),
            (
                "the electric netting",
                any(coop.run and coop.run.netting == "electric" for coop in profile.coop),
            ),
            ("the automatic door", any(coop.door == "automatic" for coop in profile.coop)),
        )
        if has
    ]
    return f"{restarted} Look at: {', '.join(owned)}." if owned else restarted
