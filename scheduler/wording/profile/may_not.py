"""Why somebody may not say or change something."""

from scheduler.wording.words import Words


class MayNotSay:
    """Why that may not be said by this voice, or not of that day."""

    until = Words("You look after the birds until {last} and can speak only for those days.")
    from_then = Words("You look after the birds from {first} and can speak only for those days.")
    from_until = Words(
        "You look after the birds from {first} until {last} and can speak only for those days."
    )
    deaths = Words("Only whoever is on duty, or somebody signed in, can say that.")
    by_message = Words(
        "A message answers only for the door on its evening. Sign in for everything else."
    )


class OnlySomeCan:
    """Who can do what somebody else asked for: owners, members too, or all who are signed in."""

    people = Words("Only an owner can let somebody in, sign somebody out or end their addresses.")
    flocks = Words("Only an owner or a member can change the birds and jobs here.")
    household = Words("Only an owner can change anything else here.")
    birds = Words(
        "Only an owner or a member can say that birds nobody was looking for have come, gone or "
        "died."
    )
    reports = Words(
        "Only an owner or a member can report the weather, a predator or what ails the birds."
    )
    diary = Words("Only an owner or a member can read the diary or download it.")
    evenings = Words("Only somebody signed in by name can change whose evening it is.")
    own = Words("Only somebody signed in by name can have calendars and test messages.")
