"""The morning brief: whatever is not in order, today's times and jobs, on eight lines at most."""

from dataclasses import dataclass

from scheduler.alerts.delivery import Message
from scheduler.messages.phrases import TITLE_LENGTH
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.messages.by_day import Morning, Restarted
from scheduler.wording.spoken import listed, one_by_one

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
    jobs = Morning.jobs(count=of.jobs, minutes=of.minutes) if of.jobs else Morning.no_jobs()
    title = Morning.jobs_only(jobs=jobs)
    if of.lock_up:
        title = Morning.lock_up_and_jobs(at=of.lock_up, jobs=jobs)
    if of.worries:
        title = Morning.to_look_at(title=title, count=len(of.worries))
    lines = [*of.worries, *of.urgent, *of.tonight, *of.walks]
    if of.seasons:
        lines.append(Morning.new_today(changes=one_by_one(of.seasons)))
    if len(lines) > MOST_LINES:
        more = Morning.more_lines_page if of.link else Morning.more_lines_plan
        left = len(lines) - MOST_LINES + 1
        lines = [*lines[: MOST_LINES - 1], more(count=left)]
    stem = Morning.stem(site=of.site_name)[:TITLE_LENGTH]
    return Message(title[:TITLE_LENGTH], "\n".join(lines), stem=stem, link=of.link)


def after_a_restart(profile: Profile) -> str:
    """That there was a restart, and what of this household's own it may have upset."""
    coops = profile.coop
    things = []
    if any(coop.light for coop in coops):
        things.append(Restarted.lamp())
    if any(drinker.heated for coop in coops for drinker in coop.drinker):
        drinkers = words(profile.site.region)["drinkers"]
        things.append(Restarted.heated_drinkers(drinkers=drinkers))
    if any(coop.run and coop.run.netting == "electric" for coop in coops):
        things.append(Restarted.netting())
    if any(coop.door == "automatic" for coop in coops):
        things.append(Restarted.door())
    return Restarted.look_at(things=listed(things)) if things else Restarted.restarted()
