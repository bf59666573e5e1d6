"""What is said of a house in quarantine: which day it is, and what it asks for."""

from datetime import date

from scheduler.cares.newcomer import Quarantine
from scheduler.cares.quarantine import Meeting
from scheduler.husbandry.age import QUARANTINE_DAYS
from scheduler.wording.cares.day_of_house import QuarantineWords
from scheduler.wording.spoken import in_a_row, short_day


def quarantine_words(found: Quarantine, meets: Meeting | None = None) -> tuple[str, str]:
    """The day of a house's quarantine in a few words, and what it asks for.

    `meets` is when they may range beside others that were there before them, if there are any.
    """
    asked = [QuarantineWords.tend_last(flocks=in_a_row(found.names))]
    asked.append(_apart(meets.first if meets else found.ends, found.mixes))
    if not found.day:
        known = found.ends is not None
        again = QuarantineWords.starts_again if known else QuarantineWords.starts_again_once_ended
        asked.append(again(days=QUARANTINE_DAYS))
    return found.words, " ".join(asked)


def _apart(ranges: date | None, mixes: date | None) -> str:
    if ranges == mixes:
        if mixes is None:
            return QuarantineWords.apart_for_now()
        return QuarantineWords.apart_before(day=short_day(mixes))
    if mixes is None or ranges is None:
        said = QuarantineWords.ranges_only if ranges else QuarantineWords.mixes_only
    else:
        said = QuarantineWords.ranges_and_mixes
    days = {"range_day": ranges, "mix_day": mixes}
    return said(**{place: short_day(day) for place, day in days.items() if day})
