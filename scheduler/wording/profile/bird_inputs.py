"""What is said beside each input about birds."""

from scheduler.wording.words import Words


class FlockLabels:
    """What the keys of a flock are called."""

    name = Words("What you call these birds")
    coop = Words("Their house")
    hens = Words("Hens")
    roosters = Words("{Roosters}")
    young = Words("Young birds")
    others = Words("Ducks and other birds")
    kind = Words("Kind")
    mass = Words("Weight of one grown hen")
    hatched = Words("Hatched on")
    age = Words("Age")
    raised_by = Words("Raised by")
    arrived = Words("With you since")
    joined = Words("Moved in with the others on")


class FlockMeasures:
    """How to find out what the keys of a flock ask for."""

    mass = Words(
        "Weigh yourself with a hen on the arm and without, or put her in a box on the kitchen "
        "scales. Take the middle one of three."
    )


class FlockPurposes:
    """What the keys of a flock are for."""

    coop = Words("They are counted in there at dusk.")
    hens = Words("How many there were when they came. Say in the diary who comes, goes or dies.")
    roosters = Words("They need room and feed, and lay no eggs.")
    young = Words("They are warmed, fed and counted differently until they are grown.")
    others = Words("They are counted apart in the evening.")
    kind = Words("Feed, water and room are reckoned by it.")
    mass = Words("Feed and warmth are reckoned by it instead of by the kind.")
    hatched = Words("Jobs for young birds, and the first eggs, go by it.")
    age = Words("Use it if nobody knows the day they hatched.")
    raised_by = Words("Under a hen there is no lamp to look after.")
    arrived = Words("From then on they are counted, and they settle in.")
    joined = Words("For some days somebody looks whether they get on.")


class BirdKindChoices:
    """The kinds of bird that can be chosen."""

    bantam = Words("bantam")
    light = Words("light")
    medium = Words("medium")
    heavy = Words("heavy")


class AgeChoices:
    """The ages that can be chosen."""

    chick = Words("chicks")
    pullet = Words("half grown")
    adult = Words("grown")


class RaisedByChoices:
    """Who can have raised young birds."""

    brooder = Words("a heat lamp or plate")
    hen = Words("a hen")
    bought = Words("somebody else: they were bought")
