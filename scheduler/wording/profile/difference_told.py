"""What has changed in a profile, a line for each."""

from scheduler.wording.words import Words


class ThingsThatDiffer:
    """A whole thing that came, went or is called otherwise."""

    came = Words("Added: {name}")
    went = Words("Taken away: {name}")
    renamed = Words("{before} is called {after}")


class PartsThatCame:
    """A drinker, a feeder or an opening that a house has got."""

    drinker = Words("{thing}: another {drinker} ({part})")
    feeder = Words("{thing}: another feeder ({part})")
    vent = Words("{thing}: another vent ({part})")


class PartsThatWent:
    """A drinker, a feeder or an opening that a house no longer has."""

    drinker = Words("{thing}: one {drinker} fewer ({part})")
    feeder = Words("{thing}: one feeder fewer ({part})")
    vent = Words("{thing}: one vent fewer ({part})")


class JobsThatDiffer:
    """A job of the catalogue that is switched off or on."""

    on = Words("{job}: you do this job again")
    off = Words("{job}: switched off")


class ValuesThatDiffer:
    """A value, with what it was before; `what` says whose and which: "Walnut, floor inside"."""

    other = Words("{what}: {after} (was {before})")
    measured = Words("{what}: {after} (was not known)")
    said = Words("{what}: {after} (was left open)")
    not_known = Words("{what}: not known any more (was {before})")
    left_open = Words("{what}: left open (was {before})")


class AddressesThatDiffer:
    """An address, which not everybody may read."""

    changed = Words("{what}: changed")
    came = Words("{what}: added")
    went = Words("{what}: taken away")


class WhatDiffers:
    """What a line is about."""

    of_thing = Words("{thing}, {label}")
    something = Words("Something has changed that no page shows.")


class SwitchWords:
    """What a switch says, or a clock that is switched off."""

    yes = Words("yes")
    no = Words("no")
    never = Words("never")


class SidesOfAnArea:
    """Two sides."""

    by = Words("{width} × {length}")
