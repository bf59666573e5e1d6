"""The message that every door is shut."""

from scheduler.wording.words import Words


class AllClear:
    """Titles: who shut it when and how many are in; then what is left to do."""

    one_door = Words("{who} shut the door at {at}, {birds}.")
    doors = Words("{who} shut the doors at {at}: {each}.")
    house_birds = Words("{house} {birds}")
    next_morning = Words("{who} says {ended}. {names}, {day}: {birds}.")
    nothing = Words("Nothing to do.")
    line = Words("{house}: {birds}.")
    said_that = Words("{who} said at {at} that {what}.")


class BirdsIn:
    """How many are in, and what became of the others since: parts of a list."""

    counted = Words("{birds} in")
    all_counted = Words("all {birds} in")
    looks_like_all = Words("looks like all")
    not_counted = Words("not counted")
    found_of_them = Words("{birds} of them found since")
    found = Words("{birds} found since")
    dead = Words("{birds} dead")
    given_up = Words("{birds} given up for lost")
    elsewhere = Words("{birds} elsewhere")
