"""What the birds drink, eat and lay, and when the next bag is ordered."""

from scheduler.wording.words import Words


class WaterFigures:
    """The labels and notes of the figures of water."""

    a_day = Words("water a day")
    drinkers_last = Words("full drinkers last")
    look_twice = Words("look at open drinkers twice a day")
    look_daily = Words("look daily all the same")


class FeedFigures:
    """The labels and notes of the figures of feed."""

    a_day = Words("feed a day")
    manure = Words("manure a day")
    bag_lasts = Words("a {bag} bag lasts")
    too_large = Words("opened feed keeps for about 8 weeks: buy a smaller bag")
    order_by = Words(
        "if opened today, order the next by {day} ({delivery} {delivery:day's|days'} delivery)"
    )
    feeders_last = Words("full feeders last")
    unknown = Words("unknown: read what the feeders hold")
    eggs = Words("{eggs} {eggs:egg|eggs} a week")
    eggs_assumed = Words("{eggs} {eggs:egg|eggs} a week assumed")


class NextFeed:
    """When to order the feed that the birds grow into."""

    starter = Words(
        "starter feed from {day} on: order it by {by} ({delivery} {delivery:day's|days'} "
        "delivery), and buy a smaller bag of this one"
    )
    grower = Words(
        "grower feed from {day} on: order it by {by} ({delivery} {delivery:day's|days'} delivery), "
        "and buy a smaller bag of this one"
    )
    layer = Words(
        "layer feed from {day} on: order it by {by} ({delivery} {delivery:day's|days'} delivery), "
        "and buy a smaller bag of this one"
    )


class FeedNames:
    """What a feed is called."""

    starter = Words("chick starter")
    grower = Words("grower")
    layer = Words("layer feed")


class FeedForAll:
    """The feed for all birds of a coop, and what stands apart from it."""

    starter_and_shell = Words("chick starter for all, unmedicated, oyster shell apart for hens")
    grower = Words("grower or all-flock feed")
    grower_and_shell = Words("grower or all-flock feed, oyster shell apart for hens")
    layer = Words("layer feed, oyster shell apart")


class EggFigures:
    """The figure of what the hens lay."""

    label = Words("eggs to expect a week")
    by_lamp = Words("{hours} h of light, with your lamp")
    by_daylight = Words("{hours} h of light, by daylight")
    unknown = Words("unknown: give a hatch date or an age")
    usual = Words("a fifth more or fewer is usual")
