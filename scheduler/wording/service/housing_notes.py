"""What a keeper should know about a whole profile, beside the figures of each house."""

from scheduler.wording.words import Words


class PlaceNotes:
    """Of the place: its climate and where the map shows it."""

    estimated = Words("{estimated} Give your own{keys}.")
    open_sea = Words(
        "The map shows open sea at {latitude}, {longitude}: the temperatures here are a guess."
    )
    other_zone = Words(
        "The map shows the time zone {mapped} here, not {zone}. Are the latitude, the longitude "
        "and their signs right?"
    )


class PeopleNotes:
    """Of the people: who cannot be told, or only by mail."""

    unreachable = Words("Nobody can reach {who}.")
    name_server = Words(
        "Name the server that sends the mail{server}, or give them a push topic{topic}."
    )
    give_address = Words("Give them a push topic or an email address{keys}.")
    only_sitter = Words(
        "Only a sitter can be told. Reminders begin once an owner or a member can be too."
    )
    only_by_mail = Words(
        "{who} can be reached only by mail, and few phones ring for an email at dusk."
    )


class PagesNotes:
    """Of the pages: their address, and who could read along."""

    no_address = Words(
        "Messages carry no link to the pages, as the profile does not say at which address phones "
        "can reach them{keys}."
    )
    no_https = Words(
        "The pages can be reached from beyond this machine without https, so anybody on your "
        "network can read along. Put a reverse proxy in front (deploy/README.md)."
    )


class HouseNotes:
    """Of a house: late evenings, an order that keeps its birds in, birds awake behind the door."""

    late = Words(
        "{house}: on {evenings} {evenings:evening|evenings} of the year, lock-up comes after civil "
        "dusk, when predators are about."
    )
    order_unmeasured = Words(
        "{house}: the order in force keeps them in all day. Each grown bird needs {each}. Measure "
        "the floor inside."
    )
    # The figures reckon with half of the droppings, those of the night (common practice, no
    # source).
    order = Words(
        "{house}: the order in force keeps them in all day. At {each} for each grown bird, there "
        "is room for {room} {room:bird|birds}, and {live} {live:lives|live} there. The bedding "
        "gets twice the droppings in the figures, so stir it twice as often."
    )
    awake = Words(
        "{house}: around {day}, they have been awake for {awake} when the door opens at {time}. "
        "Put feed and water inside, or open it earlier into a secure run."
    )
    awake_too_long = Words(
        "{house}: around {day}, they have been awake for {awake} when the door opens at {time}. "
        "That is too long. Put feed and water inside, or open it earlier into a secure run."
    )
