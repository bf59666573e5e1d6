"""What people type for a time of the day or a job, who have not read its title."""

from collections.abc import Mapping
from typing import Literal

DayTime = Literal["lock-up", "let-out", "range"]
WORDS_FOR_TIMES: Mapping[DayTime, str] = {
    "lock-up": "lock-up lockup latest closing close shut shutting dusk bedtime",
    "let-out": "let-out letout opening open release dawn",
    "range": "range ranging free-range freerange outing pasture",
}
WORDS_FOR_JOBS: Mapping[str, str] = {
    "egg-collection": "egg eggs collect laying",
    "quarantine-count": "worm worms worming wormer deworming parasites faecal",
    "mite-look": "mite mites redmite red-mite lice parasite",
    "rodent-signs": "rat rats mouse mice vermin",
    "perimeter-walk": "fox foxes fence",
    "hawk-cover": "hawk hawks buzzard raptor",
    "clean-out": "cleaning clean mucking-out muck-out",
    "board-scrape": "poop droppings-board",
    "litter-stirring": "bedding litter stirring turning",
    "nest-refresh": "nest nests nest-box nest-boxes nesting-boxes",
    "frost-look": "ice frozen freezing frost",
    "comb-look": "frostbite combs wattles",
    "heat-look": "heat panting",
    "drinker-heaters": "heated-drinker heated-waterer heater heaters",
    "short-days": "lamp lighting light-programme",
    "moult-watch": "moult molt moulting molting",
    "shell-and-grit": "grit oyster oyster-shell shell calcium",
    "nest-glance": "broody broodiness",
    "ammonia-sniff": "ammonia smell air",
    "quarantine-day": "quarantine",  # on each of its days, that of the start among them
    "quarantine-start": "isolation new-birds",
    "hands-on": "weighing weigh health-check",
    "drinker-scrub": "algae",
    "dust-bath": "dustbath sand-bath",
}
