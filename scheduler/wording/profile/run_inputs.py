"""What is said beside each input about a run."""

from scheduler.wording.words import Words


class RunLabels:
    """What the keys of a run are called."""

    type = Words("Kind of run")
    floor = Words("Ground of the run")
    netting = Words("Netting")
    mesh = Words("Opening of the mesh")
    buried = Words("Depth of the wire in the ground")
    apron = Words("Width of the wire that lies on the ground")
    wire_side = Words("Side of the posts that the wire is on")


class RunMeasures:
    """How to measure a run."""

    floor = Words("Along the fence, both ways. Leave out what the house stands on.")
    mesh = Words("Inside one hole, from wire to wire, where it is widest.")
    buried = Words("Dig beside a post until you feel the lower edge, and measure to the surface.")
    apron = Words("From the foot of the fence to the outer edge of the wire.")


class RunPurposes:
    """What the keys of a run are for."""

    type = Words("In a secure run the birds can be let out earlier.")
    floor = Words("It says how many birds have room by day.")
    netting = Words("Electric netting is checked, and netting overhead cleared of snow.")
    mesh = Words("It says what can get a paw or a body through.")
    buried = Words("It says whether a fox can dig in.")
    apron = Words("It says whether a fox can dig in.")
    wire_side = Words("On the outside it cannot be pushed off the posts.")


class RunKindChoices:
    """The kinds of run that can be chosen."""

    secure = Words("secure: roofed, meshed and dug in")
    open = Words("open: anything less")


class NettingChoices:
    """The netting that a run can have."""

    none = Words("none")
    electric = Words("electric fence netting")
    overhead = Words("netting overhead")


class WireSideChoices:
    """The sides that wire can be on."""

    outside = Words("outside")
    inside = Words("inside")
