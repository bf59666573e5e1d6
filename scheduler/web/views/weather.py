"""Weather and visitors: one tap says what no average can know."""

from collections.abc import Mapping
from functools import partial

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.climate_told import map_off
from scheduler.cares.records import WEATHER_KINDS, PredatorGrade, Records, Report, WeatherKind
from scheduler.climate.curve import averages
from scheduler.profile.change import Set, changed
from scheduler.service.household.keep_profile import Kept
from scheduler.service.measured import last_of_each, line_of
from scheduler.service.reports.read_report import ToldReport, odd, read_report
from scheduler.service.weather import outlook
from scheduler.service.weather.agreed import attributions, is_asked, question, sources_of
from scheduler.service.weather.last_forecast import why_no_forecast
from scheduler.web.report_forms import Buttons, ReportPage, refused
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.wording.web.reports import PredatorButtons, WeatherButtons, WeatherEnds
from scheduler.wording.words import Words

_TITLES: Mapping[WeatherKind, Words] = {
    "heat": WeatherButtons.heat,
    "frost": WeatherButtons.frost,
    "snow": WeatherButtons.snow,
    "storm": WeatherButtons.storm,
    "predator": WeatherButtons.predator,
    "order": WeatherButtons.order,
}
GRADES: Mapping[PredatorGrade, Words] = {
    "nearby": PredatorButtons.nearby,
    "tried": PredatorButtons.tried,
    "got-at": PredatorButtons.got_at,
}


def _facts(visit: Visit) -> dict[str, object]:
    yearly, known, now = averages(visit.profile), visit.standing.records, visit.now
    shown = last_of_each(visit.journal, visit.profile, now)
    return {
        "night_and_day": outlook.night_and_day(
            visit.profile, outlook.coming(visit.profile, known, now)
        ),
        "measured": [line_of(visit.profile, *one, now) for one in shown],
        "no_forecast": why_no_forecast(visit.profile, known, now),
        "kinds": [(kind, _TITLES[kind]()) for kind in WEATHER_KINDS],
        "grades": [(grade, said()) for grade, said in GRADES.items()],
        "usual": reasons.usual_air(yearly, visit.today, visit.profile.units),
        "climate": yearly.source,
        "off": map_off(averages(visit.profile), visit.profile.units),
        "degrees": _degrees(visit),
        "question_asked": question(visit.profile),
        "base": mark_of_text(visit) if is_asked(visit.profile) else "",
        "attributions": attributions(visit.profile),
    }


def mark_of_text(visit: Visit) -> str:
    """What a form names the profile's text by; empty where no page can change it."""
    editable = visit.kept_profile.editable(visit.now)
    return "" if editable.read_only else editable.mark


def forecast_answered(visit: Visit) -> Answer:
    """Keeps the answer, and shows it where it can be changed and taken back."""
    sources = sources_of(visit.profile, yes=visit.said("answer") == "yes")
    answer = partial(changed, changes=[Set(("forecast", "sources"), [*sources])])
    found = visit.kept_profile.keep(visit.speaker, visit.said("base"), answer)
    if isinstance(found, Kept):
        return go(f"/change/weather?kept={found.number}")
    return go("/change/weather")  # there it is said what is in the way


def _degrees(visit: Visit) -> str:
    return "°F" if visit.profile.units == "us" else "°C"


def _with_unit(typed: str, degrees: str) -> str:
    """A bare number has the unit that stands beside the field."""
    bare = typed.lstrip("+-\N{MINUS SIGN}").replace(".", "", 1).replace(",", "", 1)
    return f"{typed} {degrees}" if bare.isascii() and bare.isdecimal() else typed


def _ends(visit: Visit, one: Report) -> Buttons:
    """The buttons that would change its last day: what each sends, and what it says."""
    first, last, today = one.spell.first, one.spell.last, visit.today
    if today not in one.spell:
        return ()
    ends = []
    if first < today or one.can_end_at_once:
        over = WeatherEnds.has_ended if one.can_be_confirmed(today) else WeatherEnds.is_over
        ends.append(("over", over()))
    if last != today:
        ends.append(("end", WeatherEnds.ends_today()))
    return ends


def _changes(visit: Visit, number: int, one: Report) -> tuple[str, ...]:
    """What it changes beside the other reports; nothing once it is over."""
    if one.spell.last is not None and one.spell.last < visit.today:
        return ()
    reports = visit.standing.reports.items()
    others = Records(reports=tuple(each for known, each in reports if known != number))
    catalogue = visit.standing.household.catalogue
    return effect_of(one, others, visit.profile, catalogue, visit.today)


def _read(visit: Visit) -> Report | Mapping[str, str]:
    told = ToldReport(
        kind=visit.said("kind"),
        grade=visit.said("grade"),
        first=visit.said("first") or None,
        last=visit.said("last") or None,
        air=_with_unit(visit.said("air"), _degrees(visit)),
        link=visit.said("link"),
        who=visit.said("who"),
    )
    found = read_report(told, visit.profile.site.region, visit.today)
    return refused(found) if isinstance(found, tuple) else found


PAGE = ReportPage(
    name="weather",
    kinds=WEATHER_KINDS,
    fields=("kind", "grade", "air", "first", "last", "link", "who"),
    facts=_facts,
    read=_read,
    odd=lambda visit, found: odd(found, visit.profile.units),
    ends=_ends,
    changes=_changes,
)
