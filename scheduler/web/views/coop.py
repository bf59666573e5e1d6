"""The house: is it large, airy and safe enough, what do the sums say, and why is a job due?"""

from scheduler.cares import reasons
from scheduler.cares.catalogue import in_force
from scheduler.cares.catalogue_words import spoken
from scheduler.cares.quarantine import meets_from_house, quarantine_of_house
from scheduler.cares.quarantine_words import quarantine_words
from scheduler.cares.usual_day import air_lines, usual_day
from scheduler.climate.curve import averages
from scheduler.husbandry.figures import figures
from scheduler.husbandry.keeper_words import (
    bought,
    criterion_words,
    explanations,
    figure_words,
    holds,
    rule_set_name,
)
from scheduler.husbandry.needs import RULE_SETS, RuleSet
from scheduler.profile.coop import Coop
from scheduler.service.housing_check import HousingCheck, housing_check
from scheduler.service.jobs.explain_job import AHEAD, explain
from scheduler.service.jobs.which_job import NoSuchJob, find_job
from scheduler.web.last_results import LastResults
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.wording.husbandry.housing import HousingCautions

_KEPT = 4
_MOST_IN_WHOLE = 3  # of more houses each has its table and its sums on a page of its own


class Coops:
    """The page of the houses; a check plans a whole year, so the last few are kept."""

    def __init__(self) -> None:
        self._kept = LastResults[HousingCheck](_KEPT)

    def show(self, visit: Visit) -> Answer:
        """The page of one house or of all, by backyard practice or another set of rules."""
        wanted = visit.query.get("rules", RULE_SETS[0])
        rules = next((each for each in RULE_SETS if each == wanted), RULE_SETS[0])
        check = self._check(visit, rules)
        profile, today = visit.profile, visit.today
        asked = [coop for coop in profile.coop if coop.id == visit.query.get("house")]
        facts = {
            "coops": [house_of(visit, coop, check) for coop in asked or profile.coop],
            "house_asked": asked[0].id if asked else "",
            "is_whole": bool(asked) or len(profile.coop) <= _MOST_IN_WHOLE,
            "notes": check.page_notes,
            "rules": rules,
            "rule_sets": [(each, rule_set_name(each)) for each in RULE_SETS],
            "rule_name": rule_set_name(rules),
            "usual": reasons.usual_air(averages(profile), today, profile.units),
            "cautions": (HousingCautions.check(), HousingCautions.figures()),
            "jobs": sorted(
                (spoken(care.title, profile), care.id)
                for care in in_force(profile, visit.standing.household.catalogue)
            ),
        }
        return Answer(template="coop.html", facts=facts)

    def _check(self, visit: Visit, rules: RuleSet) -> HousingCheck:
        standing = visit.standing
        key = (standing.household.text, standing.records, rules, visit.today)
        return self._kept.get(
            key, lambda: housing_check(standing.household, standing.records, rules, visit.today)
        )


def house_of(visit: Visit, coop: Coop, check: HousingCheck) -> dict[str, object]:
    """What the pages say of one house: what is short, what was not measured, what is to buy."""
    profile, own = visit.profile, check.of(coop.id)
    at = usual_day(profile, visit.today)
    here = profile.flocks_on(coop.id, visit.today)
    apart = quarantine_of_house(here, visit.standing.records, visit.today)
    meets = meets_from_house(profile, coop.id, visit.standing.records, visit.today)
    told = [(one.verdict, criterion_words(one, profile.units)) for one in own.criteria]
    return {
        "name": coop.name,
        "id": coop.id,
        "birds": reasons.birds(profile.flocks_of(coop.id), profile.site.region),
        "quarantine": quarantine_words(apart, meets) if apart else None,
        "short": [words for verdict, words in told if verdict == "short"],
        "measured": [(verdict, words) for verdict, words in told if verdict != "unknown"],
        "unknown": [words for verdict, words in told if verdict == "unknown"],
        "explained": explanations(own.criteria, profile.units),
        "holds": [holds(each) for each in own.capacities],
        "buy": [bought(each, profile.units) for each in own.purchases],
        "figures": [figure_words(one, profile.units) for one in figures(profile, coop, at)],
        "air": air_lines(profile, coop, visit.today),
    }


def why(visit: Visit) -> Answer | None:
    """What makes one job due, or the lock-up; None for a job that there is not."""
    standing = visit.standing
    job = find_job(standing.household, visit.path["job"])
    if isinstance(job, NoSuchJob):
        return None
    empty = standing.empty(visit.today, AHEAD.days + 1)
    rows = explain(standing.household, standing.records, job, visit.today, empty)
    return Answer(template="why.html", facts={"rows": rows})
