"""What would ring if the machine stopped now."""

from scheduler.wording.words import Words


class Nothing:
    """Somebody whom nothing would ring."""

    tonight = Words("If this machine stopped now, nothing would ring {names} tonight.")
    tomorrow = Words("If this machine stopped now, nothing would ring {names} tomorrow evening.")
    remedy = Words(
        "A backup alarm in the calendar of the phone would: get one on the page Subscribe."
    )


class StoppedTonight:
    """Who is rung tonight, and by what, once nothing more is heard from this machine."""

    held = Words("Tonight: the push server rings {name} at {time}, and again at {again}.")
    held_and_file = Words(
        "Tonight: the push server rings {name} at {time}, and again at {again}. The backup "
        "alarm in the calendar rings as well, because it cannot know: one of the two is enough."
    )
    file = Words("Tonight: the backup alarm that {name} fetched rings at about {time}.")
    heartbeat = Words(
        "Tonight: nothing rings {name}. Whoever set up the heartbeat is told that it has stopped."
    )
    later = Words(
        "Tonight: nothing yet for {name}. The push server gets the message for tonight at {time}."
    )
    nothing = Words("Tonight: nothing rings {name}.")
    ended = Words("Tonight: nothing rings {name}. The backup alarm ended on {day}.")


class StoppedTomorrow:
    """The same of tomorrow evening, once tonight's doors are shut."""

    file = Words("Tomorrow evening: the backup alarm that {name} fetched rings at about {time}.")
    heartbeat = Words(
        "Tomorrow evening: nothing rings {name}. Whoever set up the heartbeat is told that it has "
        "stopped."
    )
    later = Words(
        "Tomorrow evening: nothing yet for {name}. The push server gets the message for it at "
        "{time}."
    )
    nothing = Words("Tomorrow evening: nothing rings {name}.")
    ended = Words("Tomorrow evening: nothing rings {name}. The backup alarm ended on {day}.")


class Stopped:
    """What stands above the list."""

    heading = Words("If this machine stopped now")
    all_of_them = Words("If every machine stopped now")
