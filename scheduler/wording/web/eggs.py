"""What Today says of the eggs."""

from scheduler.wording.words import Words


class EggsPressed:
    """What the button says of a number; the page fills in `{count}`."""

    one = Words("Add 1 egg")
    eggs = Words("Add {count} eggs")


class EggsTold:
    """What was counted before, and what cannot be kept."""

    so_far = Words("{eggs} {eggs:egg|eggs} today")
    undo = Words("Undo {eggs} {eggs:egg|eggs}")
    no_number = Words("Type a number, such as 7.")
    no_house = Words("There is no house “{house}”, so nothing was saved.")
    counted_meanwhile = Words(
        "Not added: {eggs} {eggs:egg|eggs} from {house} {eggs:is|are} on the list for today. "
        "If these are others, count them again."
    )


class ManyEggsAsked:
    """What is asked of more than the birds can have laid."""

    title = Words("That many eggs?")
    text = Words("That makes {eggs} eggs from {birds} {birds:bird|birds} in one day. Is it right?")
    yes = Words("Yes, {eggs} eggs")
