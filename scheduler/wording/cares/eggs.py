"""What is said of eggs that are not to be eaten, and until when."""

from scheduler.wording.words import Words


class EggsUntil:
    """Until when they are not to be eaten."""

    day = Words("before {day}")
    label = Words("until the vet or the label says so")
    labels_of = Words(
        "until the vet or the {labels:label|labels} of {medicines} {labels:says|say} so"
    )
    authority = Words("until the vet or the authority says so")
    if_hens_of = Words("{until} if hens from {house} lay here")


class EggsWithheld:
    """What to do with them, and after which medicine."""

    not_for_eating = Words("do not eat, give away or sell the eggs {until}")
    free_again = Words("by the label, eggs laid from today ({day}) on may be eaten again")
    after = Words("After {medicines}.")
    still_given = Words("{medicines} {count:is|are} still being given.")
    runs = Words("The {withdrawal} runs, by what you read on the label.")
    runs_from_last_dose = Words(
        "The {withdrawal} runs from the last dose ({day}), by what you read on the label."
    )
    course = Words("{medicine} of {day}")
    not_noted = Words(
        "Nobody has noted the {withdrawal} for eggs after {courses} yet: read the label or ask "
        "the vet, and note it."
    )
    not_to_birds = Words("Do not feed them to the birds either.")
    laid_since = Words("That goes for every egg laid since {day}.")
    moves_along = Words("If a treated hen moves house, it holds there too.")
    house_gone = Words(
        "That house is no longer in the profile. It holds wherever those hens lay now, and for the "
        "whole of a house where nobody can tell their eggs apart."
    )
    throw_away = Words("Throw away the older ones.")
    keep_record = Words("Keep this record for as long as your local law requires.")
    why = Words(
        "Do not eat, give away or sell the eggs, nor feed them to the birds, {until} (after "
        "{medicines}). Collect them all the same and throw them away. Wash your hands with soap."
    )
    perhaps_theirs = Words(
        "If hens from {house} lay here, this goes for every egg that may be theirs. {why}"
    )
    ask = Words(
        "A sign was noted that has to be reported in many countries. Ask about the eggs; let none "
        "leave until you have an answer. Wash your hands with soap."
    )
