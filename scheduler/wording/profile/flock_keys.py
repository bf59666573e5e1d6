"""What the keys of a flock are."""

from scheduler.wording.words import Words


class FlockKeys:
    """What the keys of a flock are."""

    name = Words("what you call the flock")
    coop = Words("id of its coop; may be left out when there is only one")
    hens = Words("laying hens")
    roosters = Words("roosters (cockerels, cocks)")
    young = Words("chicks, pullets and cockerels not yet grown")
    others = Words("ducks and other birds, counted on their own line")
    kind = Words("bantam, light, medium or heavy")
    mass = Words("mass of one grown hen, if you know it")
    hatched = Words("hatch date")
    age = Words("chick, pullet or adult, when the hatch date is not known")
    raised_by = Words("brooder, hen or bought")
    arrived = Words("the day they came to you")
    joined = Words("the day they moved in with others of their house")
