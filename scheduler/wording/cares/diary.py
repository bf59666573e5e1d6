"""What the diary says of each of its entries."""

from scheduler.wording.words import Words


class DiaryTimes:
    """When something happened, and when it was said."""

    on_day = Words("{day}, {time}")
    said_at = Words("{happened} (said at {said})")
    said_on = Words("{happened} (said on {said})")


class DiaryDoor:
    """What was said of a door and its birds."""

    shut_counted = Words("{house}: shut, {count} in")
    shut_short = Words("{house}: shut, {count} of {flock} in")
    shut_missing = Words("{house}: shut, some missing")
    shut_uncounted = Words("{house}: shut, not counted")
    open_again = Words("{house}: open again")
    found = Words("{house}: {birds} found")
    all_found = Words("{house}: all missing birds found")
    lost = Words("{house}: {birds} given up for lost")
    all_lost = Words("{house}: all missing birds given up for lost")
    looking = Words("{house}: looking for the missing birds")
    not_found = Words("{house}: {birds} not found, no more looking tonight")
    none_found = Words("{house}: none of the missing birds found, no more looking tonight")
    died = Words("{house}: {birds} died")
    all_died = Words("{house}: all missing birds died")
    away = Words("{house}: {birds} {birds:sleeps|sleep} elsewhere")
    all_away = Words("{house}: all birds sleep elsewhere")
    home = Words("{house}: {birds} home again")
    all_home = Words("{house}: all that were away are home again")


class DiaryBirds:
    """What was said of birds that came, went or moved."""

    arrived = Words("{house}: {birds} arrived")
    some_arrived = Words("{house}: birds arrived")
    hatched = Words("{house}: {birds} hatched")
    some_hatched = Words("{house}: chicks hatched")
    sold = Words("{house}: {birds} sold or given away")
    some_sold = Words("{house}: birds sold or given away")
    moved_in = Words("{house}: {birds} moved in")
    moved_in_from = Words("{house}: {birds} moved in from {out_of}")
    moved_to = Words("{house}: {birds} moved to {to}")
    moved_to_from = Words("{house}: {birds} moved to {to} from {out_of}")
    some_moved_in = Words("{house}: birds moved in")
    some_moved_in_from = Words("{house}: birds moved in from {out_of}")
    some_moved_to = Words("{house}: birds moved to {to}")
    some_moved_to_from = Words("{house}: birds moved to {to} from {out_of}")


class DiaryProfile:
    """What was said of the profile on a page."""

    begun = Words("Duskfold was set up")
    changed = Words("Changed: {what}")
    put_back = Words("An earlier version was put back: {what}")
    nothing = Words("nothing is different")
    more = Words("and {count} more {count:change|changes}")
    taken_over = Words("The profile can be changed on the pages now")


class DiaryOf:
    """What was said of jobs, eggs and reports, and of what was said before."""

    done = Words("Done: {job}")
    skipped = Words("Not this time: {job}")
    eggs = Words("{house}: {eggs} {eggs:egg|eggs} collected")
    reported = Words("Reported: {report}")
    report_from = Words("{report} from {day}")
    report_number = Words("Report {number} of {day}")
    ends = Words("{report}: it ends on {day}")
    over_at_once = Words("{report}: it is over, on the same day")
    still_in_force = Words("{report}: still in force on {day}")
    label_read = Words(
        "{report}: eggs are withheld for {days} {days:day|days}, by the label or the vet"
    )
    label_lost = Words("{report}: how long eggs are withheld was read, but is no longer known")
    taken_back = Words("Taken back: \N{LEFT DOUBLE QUOTATION MARK}{said}\u201d")
    taken_back_number = Words("Taken back: entry {number}")
    put_back = Words("Put back: \N{LEFT DOUBLE QUOTATION MARK}{said}\u201d")
    put_back_number = Words("Put back: entry {number}")
    from_newer = Words(
        "{house}: something that only a newer Duskfold can show ({kind}, version {version})"
    )
    damaged = Words("{house}: entry {number} ({kind}) is damaged and does not count")
