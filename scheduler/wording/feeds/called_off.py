"""What an event says that was published and does not happen."""

from scheduler.wording.words import Words


class CalledOffTitles:
    """What is called off, by the kind of event."""

    lockup = Words("Called off: lock up")
    letout = Words("Called off: let out")
    range = Words("Called off: free range")
    morning = Words("Called off: morning jobs")
    midday = Words("Called off: midday jobs")
    evening = Words("Called off: evening jobs")


class CalledOffTitle:
    """What is called off, by the title that it had, and why."""

    titled = Words("Called off: {title}")
    because = Words("{title} ({reason})")


class CalledOffText:
    """That it is called off, why, and what to do instead."""

    plain = Words("Called off: {instead}")
    because = Words("Called off ({reason}): {instead}")


class Instead:
    """What to do instead of what is called off."""

    nothing = Words("there is nothing to do.")
    in_house = Words("keep them in the house. Feed and water them there, and look at every bird.")
    in_run = Words("keep them in the run or the house.")
    under_a_roof = Words("keep them in the covered run, or in the house if the run has no roof.")


class CalledOffReasons:
    """Why birds stay in."""

    housing_order = Words("housing order")
    on_heat = Words("the chicks still need a heat source")
    quarantine = Words("quarantine")
    run_only = Words("run only")
    predator = Words("a predator got at them")
    ill_birds = Words("ill birds")
    storm = Words("a storm is on its way")
    too_young = Words("too young")
    age_unknown = Words("nobody knows how old the young ones are")
    newly_moved = Words("they have just moved in")
    moved_here = Words("they have just moved here")
    behind_wire = Words("they are still getting to know the others through wire")
