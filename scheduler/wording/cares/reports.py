"""What is said of a report: what it is of, its days, and whom it binds."""

from scheduler.wording.words import Words


class ReportNouns:
    """What was reported, by its kind."""

    heat = Words("heat")
    frost = Words("frost")
    snow = Words("snow")
    storm = Words("storm")
    order = Words("housing order")
    visit = Words("predator's visit")
    heat_of = Words("heat of {degrees}")
    frost_of = Words("frost of {degrees}")


class PredatorCame:
    """How near a predator came."""

    nearby = Words("predator seen nearby")
    tried = Words("predator that tried to get in")
    got_at = Words("predator that got at the birds")


class ReportedBirds:
    """Which birds a report is about."""

    medicine_for = Words("{medicine} for {birds} {birds:bird|birds}")
    broody = Words("{birds} broody {birds:hen|hens}")
    ill = Words("{birds} ill {birds:bird|birds} ({seen})")


class Signs:
    """What is seen of an ill bird."""

    deaths = Words("two or more deaths within a day")
    swollen_head = Words("swollen head, eyelids, comb or wattles")
    blue_comb = Words("blue or purple comb, wattles or legs")
    breathing = Words("trouble breathing, coughing, sneezing, runny nose")
    no_balance = Words("stumbling, tremors, twisted neck")
    egg_drop = Words("the flock suddenly lays far fewer eggs")
    feed_drop = Words("the flock suddenly eats or drinks far less")
    droppings = Words("watery or bloody droppings")
    hunched = Words("hunched, fluffed up, keeps apart")
    limping = Words("limping or lame")
    wound = Words("wound or pecked skin")
    crop = Words("crop still full in the morning")


class ReportDays:
    """On which days it holds."""

    on = Words("{report} on {first}")
    on_and_over = Words("{report} on {first}, over the same day")
    on_until = Words("{report} on {first}, until {last}")
    from_to = Words("{report} from {first} to {last}")
    until_notice = Words("{report} from {first} until further notice")
    since = Words("{report} since {first}")


class ReportDetails:
    """What is told back with it: whom it binds, its page, the days of a medicine."""

    binds = Words("{report}, applies to {who}")
    link = Words("{report} ({link})")
    unread = Words("{report}; by the label or the vet: eggs not known")
    unread_meat = Words(
        "{report}; by the label or the vet: eggs not known, meat {meat} {meat:day|days}"
    )
    eggs = Words("{report}; by the label or the vet: eggs {eggs} {eggs:day|days}")
    eggs_meat = Words(
        "{report}; by the label or the vet: eggs {eggs} {eggs:day|days}, meat {meat} "
        "{meat:day|days}"
    )


class DayAccepted:
    """What may be written for a day."""

    words = Words("a date such as 2026-12-21, a weekday, yesterday, today, tomorrow")
