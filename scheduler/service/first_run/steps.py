"""The steps of the first run in their order, as the answers so far make them."""

from collections.abc import Iterator, Mapping

from scheduler.profile.usual_duty import WEEKDAYS
from scheduler.service.first_run.so_far import Fields, SoFar
from scheduler.wording.profile.starter_words import StarterNames

MOST_HOUSES = 8
MOST_PEOPLE = 8
LOOK_OVER = "look-over"
# What each step asks, by its name without the number behind it.
FIELDS: Mapping[str, tuple[str, ...]] = {
    "place": ("typed",),
    "dusk": ("name", "region", "units"),
    "house": ("name", "minutes"),
    "birds": ("hens", "roosters", "kind", "arrived"),
    "run": ("run", "ranging"),
    "people": ("you", "others"),
    "web": ("where", "address"),
    "reach": ("how", "server", "mail"),
    "subscribe": (),
    "mail": ("host", "user", "from"),
    "duty": WEEKDAYS,
}


def steps_of(so_far: SoFar) -> tuple[str, ...]:
    """Every step in its order; those that an answer asks for come where they belong."""
    return tuple(_steps(so_far))


def _steps(so_far: SoFar) -> Iterator[str]:
    yield from ("place", "dusk")
    for number in range(1, houses(so_far) + 1):
        yield from (f"house-{number}", f"birds-{number}", f"run-{number}")
    yield from ("people", "web")
    has_mail = False
    named = people(so_far)
    for number in range(1, len(named) + 1):
        yield f"reach-{number}"
        how = so_far.of(f"reach-{number}").get("how")
        if how == "push":
            yield f"subscribe-{number}"
        has_mail = has_mail or how == "mail"
    if has_mail:
        yield "mail"
    if len(named) > 1:
        yield "duty"
    yield LOOK_OVER


def next_step(so_far: SoFar) -> str:
    """The first step that is not answered; to look it all over when all are."""
    return next((one for one in steps_of(so_far) if one not in so_far.steps), LOOK_OVER)


def kind_and_number(step: str) -> tuple[str, int]:
    """`house-2` is ("house", 2); a step of which there is one has the number 1."""
    kind, _, number = step.rpartition("-")
    return (kind, int(number)) if kind and number.isdecimal() else (step, 1)


def houses(so_far: SoFar) -> int:
    """How many houses are spoken of: one at least."""
    count = 1
    while f"house-{count + 1}" in so_far.steps and count < MOST_HOUSES:
        count += 1
    return count


def without_house(so_far: SoFar, number: int) -> SoFar:
    """Without that house; those behind it move up."""
    steps = dict(so_far.steps)
    last = houses(so_far)
    for kind in ("house", "birds", "run"):
        for to in range(number, last):
            if (behind := steps.get(f"{kind}-{to + 1}")) is not None:
                steps[f"{kind}-{to}"] = behind
            else:
                steps.pop(f"{kind}-{to}", None)
        steps.pop(f"{kind}-{last}", None)
    return SoFar(steps=steps, cookie_hash=so_far.cookie_hash)


def people(so_far: SoFar) -> tuple[str, ...]:
    """The names of everybody, whoever answers first; until people are named, nobody."""
    if "people" not in so_far.steps:
        return ()
    return named(so_far.of("people"))


def named(fields: Fields) -> tuple[str, ...]:
    """The names in the fields of the step, each once; whoever gives none is called as usual."""
    you = " ".join(fields.get("you", "").split()) or StarterNames.keeper()
    others = (" ".join(one.split()) for one in fields.get("others", "").split(","))
    return tuple(dict.fromkeys((you, *filter(None, others))))
