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


class WrongFlock:
    """What is found, accepted and advised where birds and dates of a flock do not agree."""

    no_birds = Words("0 birds")
    some_birds = Words("at least one bird in each flock")
    hatched_by_now = Words("today or an earlier date")
    eggs = Words("Eggs under a hen or a heat lamp become a flock when they hatch.")
    joined_by_now = Words("today or an earlier day")
    write_joined = Words("Change coop and write joined on the day they move.")
    after_they_came = Words("a day on or after they came to you")
    after_a_year = Words("a date after {year}")
    age_unknown = Words('If nobody knows when, leave it out and write age = "adult".')
    after_hatching = Words("a day on or after the hatch date")
    both = Words("both hatched and age")
    one_of_both = Words("either hatched or age")
