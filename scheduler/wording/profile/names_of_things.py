"""What is said of names: of houses and people, and of screens that are nobody's."""

from scheduler.wording.words import Words


class NobodyCalled:
    """What is accepted for a person's name where there is none."""

    without_people = Words("nobody, because the profile has no [[person]]")


class ScreenNames:
    """What a shared screen is called, and what it cannot be called."""

    called = Words("{name} (shared screen)")
    needs_people = Words("a screen, once the profile has a [[person]] whose name can be chosen")
    of_nobody = Words("a name that nobody here has")
    of_a_person = Words("{name} is a person's name.")
