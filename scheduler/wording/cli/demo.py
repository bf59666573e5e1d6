"""What `demo` says, and what the things of its made-up garden are called."""

from scheduler.wording.words import Words


class DemoGarden:
    """The names in the made-up garden."""

    site = Words("Made-up garden")
    first_house = Words("Walnut house")
    second_house = Words("Cart shed")
    first_flock = Words("The browns")
    second_flock = Words("The speckled ones")


class DemoScreen:
    """What `demo` says at the terminal."""

    what_it_is = Words(
        "This is a made-up garden. Nothing is sent from it, and whatever you tap is forgotten "
        "when it ends."
    )
    how_late = Words("There it is {time} on {day}, and the clock runs on from then.")
    open_it = Words(
        "Open this address. It signs you in as {person}, once, within {minutes} minutes:"
    )
    how_to_end = Words("Ctrl-C ends it.")
