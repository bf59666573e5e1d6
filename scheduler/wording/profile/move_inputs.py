"""What is said beside each input about a move, and about who usually locks up."""

from scheduler.wording.words import Words


class MoveLabels:
    """What the keys of a move are called."""

    on = Words("The day you move")
    latitude = Words("Latitude of the new place")
    longitude = Words("Longitude of the new place")
    zone = Words("Time zone there")
    elevation = Words("Height above the sea there")
    west_horizon = Words("Horizon to the west there")
    east_horizon = Words("Horizon to the east there")
    region = Words("Region there")
    name = Words("What you call the new place")
    same_climate = Words("The year's averages you wrote down hold there, too")


class MovePurposes:
    """What the keys of a move are for."""

    on = Words("Up to the evening before, the old place's times count; from then on the new one's.")
    latitude = Words("The times of dawn and dusk there depend on it.")
    longitude = Words("The times of dawn and dusk there depend on it.")
    elevation = Words("It is colder higher up.")
    west_horizon = Words("It says when the sun is out of sight there in the evening.")
    east_horizon = Words("It says when the sun comes into sight there in the morning.")
    zone = Words("Left empty, it is worked out from the place.")
    region = Words("If nothing is said, it is the same as here.")
    name = Words("Left empty, it keeps the name it has here.")


class DutyLabels:
    """What the days of the week are called, on which somebody usually locks up."""

    monday = Words("On Mondays")
    tuesday = Words("On Tuesdays")
    wednesday = Words("On Wednesdays")
    thursday = Words("On Thursdays")
    friday = Words("On Fridays")
    saturday = Words("On Saturdays")
    sunday = Words("On Sundays")
