"""What is asked about the birds of a profile; `keys`, in brackets, only who writes it reads."""

from scheduler.wording.words import Words


class InProfile:
    """Where in the profile an answer stands: beside the sentence that asks for it."""

    beside = Words(" ({keys})")
    raised_by = Words('raised_by = "hen", "brooder" or "bought"')
    hatched_with_you = Words('raised_by = "brooder" or "hen"')
    lamp_since = Words("in [coop.light], from = {day}")
    hatched_or_age = Words('hatched = {day}, or age = "chick" or "pullet"')
    joined = Words("joined = {day}, or the day it was")
    climate = Words("under [climate]")
    base_url = Words("base_url under [web]")
    forecast_sources = Words("sources under [forecast]")
    forecast_contact = Words("contact under [forecast]")
    push_or_mail = Words("push or mail under [[person]]")


class FlockNotes:
    """What is odd about a flock, or left out."""

    many = Words(
        "{birds} birds: is that right? Duskfold is made for 4 to 50. Its jobs and minutes do not "
        "fit a farm, which has other rules to follow."
    )
    others = Words("{birds} other {birds:bird is|birds are} not counted in the figures. {walk_in}")
    grown = Words("{flock} are {weeks} weeks old. Count them as hens and roosters now.")
    said_grown = Words("{flock} are said to be adult. Count them as hens and roosters now.")
    with_a_hen = Words(
        "{flock} are under {weeks} weeks old. Are they with a hen or in a brooder? Say so{keys}. "
        "Until then, they are taken to be with a hen."
    )
    in_a_brooder = Words(
        "{flock} are under {weeks} weeks old. Are they with a hen or in a brooder? Say so{keys}. "
        "Until then, they are taken to be in a brooder."
    )
    new_lamp = Words(
        "{house}: is the lamp new? If so, say since when{keys}, and the light grows by an hour a "
        "week. Otherwise, the programme counts as running since the days were long."
    )
    hatched_long_ago = Words("{flock} hatched {years} years ago, in {year}. Is that right?")
    arrives_late = Words(
        "{flock} arrive on {day}, more than a year ahead. Is that right? Until then, they are not "
        "counted anywhere."
    )
    weight = Words("{flock} weigh {mass} each. Is that right? Give the mass of one grown hen.")
    chicks = Words(
        "{flock}: on which day did they hatch? Say so{keys} instead of their age, and you are told "
        "their warmth, room and feed week by week. Until then, the age given counts."
    )
    pullets = Words(
        "{flock}: on which day did they hatch? Say so{keys} instead of their age, and you are told "
        "when their nests and layer feed are due. Until then, the age given counts."
    )
    no_age = Words(
        "{flock}: how old are the young ones? Say so{keys}. Until then, no birds from their house "
        "range, and where they live alone its door stays shut."
    )


class NewcomerNotes:
    """What is asked about newcomers: where they come from, and since when they are with others."""

    bought = Words(
        "{flock} arrive on {day}. Did you buy them? If so, say that{bought}, and they are kept "
        "apart for {days} days. If they hatched with you, say that{hatched}. If they only changed "
        "houses, say on which day they came to you{arrived}."
    )
    share = Words(
        "{flock} are in quarantine but share {house} with {others}. Give them a house of their "
        "own{coop} for the {days} days. Until then, no bird in it ranges. If they only changed "
        "houses, say on which day they came to you{arrived}."
    )
    since_when = Words(
        "{flock} share {house} with birds that were there before them. Since when? Say so{keys}. "
        "Until then, they are taken to have moved in on {day}, and all stay in the run for two "
        "weeks from then."
    )
