"""How a form names what of the profile it changes: "coop/walnut/vent/0/size"."""

from scheduler.profile.changeable import key_of
from scheduler.profile.raw_tables import Where

NEW = "+"  # stands for a thing that is not there yet; no id has it
PARTS = ("drinker", "feeder", "vent")  # of a house, known by their position
_PART_AT = 2  # behind the house's id


def name_of(where: Where) -> str:
    """The name of its input."""
    return "/".join(map(str, where))


def where_of(name: str) -> Where:
    """What an input of that name changes; whatever `name_of` wrote is read as it was."""
    parts = name.split("/")
    return tuple(
        int(part)
        if number == _PART_AT + 1 and parts[_PART_AT] in PARTS and part.isdecimal()
        else part
        for number, part in enumerate(parts)
    )


def table_of(where: Where) -> tuple[str, ...]:
    """The table that it stands in, without ids and positions."""
    return tuple(part for part in key_of(where) if part != NEW)
