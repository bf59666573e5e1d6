"""What is to be known of ill and broody birds on a day."""

from scheduler.wording.words import Words


class BirdsToday:
    """What they have, since when, and whom to ask."""

    title_as_sentence = Words("{title}.")
    ring = Words("call your vet or the animal-health authority today: {birds}")
    rung = Words("day {day}: do as your vet or the animal-health authority has said: {birds}")
    day_of = Words("{birds}, day {day}")
    broody = Words("broody hen, day {day}")
    still_sits = Words("broody hen, day {day}. Is she still sitting?")
    still_sit = Words("{birds}, day {day}. Are they still sitting?")
    ends = Words("{title}; ends today")


class BirdsAsk:
    """What is to be done for them."""

    reportable = Words(
        "In many countries you must report these signs, whatever the cause. Your local rules come "
        "first. Until you have heard from them, let none range, let no bird, egg or equipment "
        "leave, keep people and other birds well clear, and ask about the eggs before you eat any. "
        "Wash your hands and change your boots each time. No birds range from any house meanwhile. "
        "Once they have cleared it, end the report."
    )
    apart = Words(
        "Keep her apart and warm, with feed and water, and look at her every day. Call a vet if "
        "she is no better within a day or two, at once if she gets worse, and today for a young "
        "bird that is hunched or has blood in its droppings. Look at the others too. Where birds "
        "are in quarantine in a house of their own, the 30 days start again when this is over."
    )
    broody = Words(
        "Lift {birds:her|them} off once a day to eat and drink. Let {birds:her|them} sit or not, "
        "as you choose. Fertile eggs hatch at about {days} {days:day|days}. If none do by day 24, "
        "or there are no eggs to hatch, break {birds:her|them} of it."
    )
