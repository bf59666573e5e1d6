"""What the keys of a move are."""

from scheduler.wording.words import Words


class MoveKeys:
    """What the keys of a move are: of the new place, but for the date."""

    on = Words(
        "the date you move: the first day with the new place's times; the evening before it is "
        "still the old place's"
    )
    latitude = Words("degrees north of the new place, negative in the south")
    longitude = Words("degrees east of the new place, negative in the west")
    zone = Words("time zone of the new place; worked out from it when left out")
    elevation = Words(
        "height of the new place above sea level; when left out, the mean height of the land "
        "around is used"
    )
    west_horizon = Words("height of what the sun sets behind at the new place, in degrees")
    east_horizon = Words("height of what the sun rises behind at the new place, in degrees")
    region = Words("whose words and gallons you use there; as at the old place when left out")
    name = Words("what you call the new place; as the old one when left out")
    same_climate = Words(
        "whether the table [climate] holds at the new place, too; it was written for the old one"
    )
