"""What the page Diary says besides the entries."""

from scheduler.wording.words import Words


class DiaryKinds:
    """What may be shown alone."""

    everything = Words("Everything")
    doors = Words("Doors")
    birds = Words("Birds")
    jobs = Words("Jobs")
    eggs = Words("Eggs")
    reports = Words("Reports")
    changes = Words("Changes")


class DiaryPage:
    """Its choices, its buttons, and what could not be done."""

    every_house = Words("Every house")
    take_back = Words("Take it back")
    put_back = Words("Put it back")
    no_button = Words('Nothing has changed: this page has no button "{button}".')
