"""What is said when the reminders and the pages start, or do not."""

from scheduler.wording.words import Words


class PagesStart:
    """Why the pages were not started."""

    not_started = Words("the pages were not started.")
    bad_listen = Words(
        'DUSKFOLD_LISTEN: found "{listen}"; accepted: an address and a port of this machine, such '
        'as "127.0.0.1:8640". The pages were not started.'
    )
    in_use = Words("the pages cannot listen on {listen}. Is it already in use?")


class FirstRun:
    """What is said when there is no profile yet."""

    open_this = Words(
        "Duskfold is not set up yet. Open this address on your phone, or scan the code: the page "
        "asks the rest."
    )
    same_network = Words("The phone has to be on the same network as this machine.")
    listens = Words(
        "The pages listen on {listen}, so that a phone at home gets there. To have them listen "
        "elsewhere, set DUSKFOLD_LISTEN."
    )
    listens_as_told = Words("The pages listen on {listen}, as DUSKFOLD_LISTEN says.")
    once = Words(
        "The key in the address works once. Ctrl-C stops it; started again, it shows a new key, "
        "and what was answered is kept."
    )


class RemindersStart:
    """What is said when the reminders start, or why they do not."""

    not_started = Words("the reminders were not started.")
    last_is_used = Words(
        "{profile} cannot be used yet, so the profile accepted last is used instead. "
        "To see why: duskfold health, duskfold check"
    )
    lack = Words("{how}. Until it is there, nothing goes out by {by}.")
    who_is_cut_off = Words("to see who that cuts off: duskfold health")
    nobody_told = Words(
        "nobody can be told, so no reminders go out. The pages and calendars still run."
    )
    names_nobody = Words(
        "no reminders go out, because {profile} names nobody who can be told. The pages and "
        "calendars still run. The reminders start by themselves once it gives somebody push or "
        "mail."
    )
    running = Words(
        "The reminders for {site} are running. Ctrl-C stops them. To see how they are: "
        "duskfold health"
    )
    nobody = Words(
        "{profile}: [[person]]: found nobody; accepted: at least one person with push or mail"
    )
    no_way = Words(
        "{profile}: person.{number}: found no way to tell {person}; accepted: push, or mail with a "
        "[mail] table, or service"
    )
    without = Words("{profile}: {how}. Without it, nothing goes out by {by}")
    pages_alone = Words(
        "nobody can be told, so the reminders were not started. Until somebody can be, "
        "`duskfold serve` runs the pages and calendars alone."
    )
