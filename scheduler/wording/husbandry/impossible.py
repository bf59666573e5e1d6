"""Sizes that cannot all be true of one house."""

from scheduler.wording.words import Words


class ImpossibleSizes:
    """What was found, and what could be."""

    perches = Words("{length} of perch on a floor of {floor}")
    perches_at_most = Words("at most {length}, perches {apart} apart")
    vents = Words("{vents} of vents in {walls} of wall")
    vents_smaller = Words("vents smaller than the walls they are in")
    nests = Words("{nests} {nests:nest|nests} of {size} in a floor of {floor}")
    nests_that_fit = Words("nests that fit into the house in two rows")
