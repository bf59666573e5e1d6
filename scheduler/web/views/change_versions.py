"""Changes of the profile so far, and putting one of them back; taking a profile over."""

from scheduler.profile.difference import differences
from scheduler.service.diary import Refused
from scheduler.service.household.keep_profile import Kept, Overtaken, Unusable
from scheduler.service.household.versions import Version, versions
from scheduler.web.change import told_differences
from scheduler.web.request_and_answer import Answer, Visit, ask, go
from scheduler.web.views.change import ORDER, Notice, overview, state_of
from scheduler.wording.spoken import one_by_one, short_day
from scheduler.wording.web.change import ChangeNotices, ProfileElsewhere, PutBack


def show(visit: Visit, notice: Notice | None = None, status: int = 200) -> Answer:
    """The last twenty versions, the newest first."""
    editable = visit.kept_profile.editable(visit.now)
    known = versions(visit.journal, visit.profile.site.id)
    facts = {
        "versions": [_version(visit, one, is_newest=not place) for place, one in enumerate(known)],
        "notice": notice,
        "has_kept": bool(known) and visit.query.get("kept") == str(known[0].number),
        **state_of(editable),
        "can_put_back": not editable.read_only,
    }
    return Answer(template="change-versions.html", facts=facts, status=status)


def _version(visit: Visit, one: Version, *, is_newest: bool) -> dict[str, object]:
    return {
        "number": one.number,
        "when": _when(visit, one),
        "who": one.who or PutBack.by_hand(),
        "lines": _lines(visit, one) or [PutBack.first()],
        "is_put_back": one.put_back is not None,
        "can_be_put_back": one.can_be_put_back and not is_newest,
    }


def _when(visit: Visit, one: Version) -> str:
    day = one.at.astimezone(visit.profile.site.zone).date()
    return PutBack.when(day=short_day(day), at=visit.clock(one.at))


def _lines(visit: Visit, one: Version) -> list[str]:
    return told_differences.told(one.differences, visit.standing.household)


def ask_to_put_back(visit: Visit) -> Answer:
    """Asks before a version is put back: what would change, and what does not come back."""
    editable = visit.kept_profile.editable(visit.now)
    known = versions(visit.journal, visit.profile.site.id)
    wanted = next((one for one in known if str(one.number) == visit.query.get("number")), None)
    if wanted is None or not wanted.can_be_put_back:
        return go("/change/versions")
    text = wanted.text
    lines = told_differences.told(
        differences(editable.text, text), visit.standing.household, editable.text, text
    )
    if not lines:
        return show(visit, Notice(text=PutBack.nothing()))
    return ask(
        PutBack.title(when=_when(visit, wanted)),
        PutBack.text(changes=one_by_one(lines)),
        yes=PutBack.yes(),
        action="/change/put-back",
        sent={"number": str(wanted.number), "base": editable.mark},
        back="/change/versions",
    )


def put_back(visit: Visit) -> Answer:
    """Puts that version back, and goes where it was asked."""
    found = visit.kept_profile.put_back(visit.speaker, visit.number("number"), visit.said("base"))
    section = visit.said("section")
    match found:
        case Kept():
            place = section if section in ORDER else "versions"
            return go(f"/change/{place}?kept={found.number}")
        case Overtaken():
            return show(visit, Notice(text=ChangeNotices.overtaken_by_hand(), is_wrong=True), 409)
        case Refused():
            return show(visit, Notice(text=found.question, is_wrong=True), 422)
        case Unusable():
            return show(visit, Notice(text=ChangeNotices.not_kept(), is_wrong=True), 422)


def ask_to_take_over(visit: Visit) -> Answer:
    """Asks before the profile is taken over into the data folder."""
    editable = visit.kept_profile.editable(visit.now)
    if not editable.read_only:
        return go("/change")
    return ask(
        ProfileElsewhere.title(),
        ProfileElsewhere.text(),
        yes=ProfileElsewhere.yes(),
        action="/change/take-over",
        sent={},
        back="/change",
    )


def take_over(visit: Visit) -> Answer:
    """Takes it over, or says on the page why not."""
    found = visit.kept_profile.take_over(visit.speaker)
    return overview(visit, found.question) if isinstance(found, Refused) else go("/change")
