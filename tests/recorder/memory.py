"""Works out each day of the plan, and the commands' options, once a run.

Both are the same whenever they are asked for, and most of a recording's time went to them.
"""

from datetime import date, timedelta
from functools import cache
from typing import Any

import typer.testing

import scheduler.cares.plan

_DAY = timedelta(days=1)
_KEPT = 12  # profiles and records, each with a year of days
Emptied = frozenset[tuple[str, date]]


def remember() -> None:
    """From now on no day of the plan is worked out twice from the same profile and records."""
    work_out = scheduler.cares.plan._day  # noqa: SLF001 - see above
    known: dict[str, dict[tuple[date, Emptied], Any]] = {}  # by what a day is worked out from
    of: dict[int, tuple[Any, dict[tuple[date, Emptied], Any]]] = {}

    def worked_out(dates: Any, usual: Any, day: date, empty: Emptied) -> Any:
        if id(dates) not in of:
            if len(known) > _KEPT or len(of) > 100 * _KEPT:
                known.clear()
                of.clear()
            told = repr((dates.profile, dates.records, dates.cares))
            of[id(dates)] = dates, known.setdefault(told, {})  # kept, so that no id is used again
        days = of[id(dates)][1]
        asked = day, frozenset(one for one in empty if one[1] in {day, day - _DAY})
        if asked not in days:
            days[asked] = work_out(dates, usual, day, empty)
        return days[asked]

    setattr(scheduler.cares.plan, "_day", worked_out)  # noqa: B010 - see above
    setattr(typer.testing, "_get_command", cache(vars(typer.testing)["_get_command"]))  # noqa: B010 - see above
