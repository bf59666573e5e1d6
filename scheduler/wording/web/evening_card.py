"""What a card says of one coop's evening."""

from scheduler.wording.words import Words


class CardBirds:
    """How many belong in, and how many are."""

    all_missing = Words("all still missing")
    some_missing = Words("some are missing")
    not_counted = Words("not counted")
    too_many = Words(
        "{counted} in, {over} more than the {expected} that {expected:belongs|belong} here"
    )
    in_that_evening = Words("{birds} of {expected} in that evening")
    some_in = Words("{counted} of {expected} in")
    some_in_and_found = Words("{counted} of {expected} in, {found} of them found since")
    whole = Words("all {counted} in")
    counted_in = Words("{counted} in")
    counted_in_and_found = Words("{counted} in, {found} of them found since")


class SaidDead:
    """Who may live all the same."""

    told = Words("{said}.")
    told_and_where = Words("{said}. If that is wrong, it can be taken back on the page Diary.")


class StillMissing:
    """How many of those of an evening are missing still."""

    none_known = Words("None of them is known to be missing, but nobody has counted since.")
    none = Words("None of them is missing any more.")
    birds = Words("{birds} still missing.")
    at_least = Words("At least {birds} still missing.")
    since = Words("{birds} since {day}")
    at_least_since = Words("at least {birds} since {day}")


class CardHeadlines:
    """How the evening stands, in a few words."""

    some_were_missing = Words("Some were missing that evening")
    some_missing = Words("Some are missing")
    some_missing_more_lost = Words("Some are missing, {lost} more not found")
    missing_that_evening = Words("{birds} missing that evening")
    missing = Words("{birds} missing")
    missing_more_lost = Words("{birds} missing, {lost} more not found")
    still_missing = Words("{birds} still missing")
    at_least_missing = Words("At least {birds} still missing")
    at_least_missing_that_evening = Words("At least {birds} missing that evening")
    too_many = Words("{birds} too many: count again")
    shut_dead = Words("Shut; {dead} dead")
    shut_given_up = Words("Shut; {given_up} given up")
    shut_dead_and_given_up = Words("Shut; {dead} dead, {given_up} given up")
    shut_some_elsewhere = Words("Shut; {birds} sleeping elsewhere")
    shut_elsewhere = Words("Shut; sleeping elsewhere")


class BackHome:
    """Asks of those who sleep elsewhere, and of those who were given up."""

    away = Words("{away} {away:is|are} sleeping elsewhere. Back home?")
    lost = Words("{lost} {lost:was|were} given up for lost. Back home?")
    both = Words(
        "{away} {away:is|are} sleeping elsewhere, {lost} {lost:was|were} given up for lost. "
        "Back home?"
    )


class SaidNewer:
    """What made a tap count for nothing."""

    something = Words("something newer has been said about it")


class ShutPressed:
    """What the button that shuts the door says of a number; the page fills in `{count}`."""

    none = Words("None in, door shut")
    one = Words("In, door shut")
    all = Words("All {expected} in, door shut")
    fewer = Words("{count} of {expected} in, door shut")
    more = Words("{count} in, door shut")


class WasShutPressed:
    """The same of an evening that is over."""

    none = Words("None in, the door was shut")
    one = Words("In, the door was shut")
    all = Words("All {expected} in, the door was shut")
    fewer = Words("{count} of {expected} in, the door was shut")
    more = Words("{count} in, the door was shut")


class CountedPressed:
    """The same of a door that is shut, where nobody has counted yet."""

    none = Words("None in, counted")
    one = Words("In, counted")
    all = Words("All {expected} in, counted")
    fewer = Words("{count} of {expected} in, counted")
    more = Words("{count} in, counted")


class CountedAgainPressed:
    """The same where somebody has."""

    none = Words("None in, counted again")
    one = Words("In, counted again")
    all = Words("All {expected} in, counted again")
    fewer = Words("{count} of {expected} in, counted again")
    more = Words("{count} in, counted again")


class TimeLeft:
    """How long until then, or since."""

    in_minutes = Words("in {minutes} min")
    in_hours = Words("in {hours} h {minutes} min")
    minutes_ago = Words("{minutes} min ago")
    hours_ago = Words("{hours} h {minutes} min ago")
    now = Words("this minute")
