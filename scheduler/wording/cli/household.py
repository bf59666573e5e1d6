"""What is answered about calendars, addresses, messages, copies and the reminders themselves."""

from scheduler.wording.words import Words


class AcceptScreen:
    """What `accept` asks and answers."""

    asked = Words("Do you want every host to go by {profile} for {site}?")
    accepted = Words(
        "Accepted as profile number {number} of {site}. Every host goes by it within a minute."
    )


class HealthScreen:
    """What is said of a clock that somebody agrees with."""

    asked = Words(
        "Is it {time} on {day} at {site}? Nothing decided by this clock after that can be undone."
    )
    noted = Words("Noted: it is {time} on {day} at {site}.")
    before_release = Words(
        "A clock that shows a time before this release is never believed, so set it."
    )
    from_next_look = Words("The reminders go by it from the next check, whatever it showed before.")
    if_wrong = Words("If it turns out to be wrong, set the clock, and they follow at once.")


class FeedScreen:
    """What `feed` says of a file that it wrote."""

    events = Words("{events} {events:event|events}")
    size = Words("{size} KB")
    weeks = Words("{first} to {last} ({weeks} {weeks:week|weeks})")
    days = Words("{first} to {last} ({days} {days:day|days})")
    fewer_weeks = Words(
        "{first} to {last} ({weeks} {weeks:week|weeks}, {ahead} of them ahead, "
        "shortened from {usual} to stay small)"
    )
    fewer_days = Words(
        "{first} to {last} ({days} {days:day|days}, {ahead} of them ahead, "
        "shortened from {usual} to stay small)"
    )
    written = Words("written")
    unchanged = Words("unchanged")
    removed = Words("removed")
    too_large = Words(
        "Note: {file} has {events} {events:event|events} and {size} KB. Some calendar apps take at "
        "most {most_events} events and {most_size} KB."
    )


class LinksScreen:
    """What `links` shows, asks and answers."""

    who = Words("who")
    what = Words("what")
    address = Words("address")
    nobody = Words("Nobody has links yet. Add a [[person]] to the profile.")
    renew = Words(
        "This ends all of {person}'s addresses and the links and buttons in messages "
        "already sent, and signs {person} out everywhere. It cannot be taken back. "
        "Do you want that?"
    )
    renewed = Words(
        "{person}'s old addresses have ended, and so have the links and buttons in messages "
        "already sent. {person} is signed out everywhere. The new addresses:"
    )
    sign_out = Words(
        "This signs {person} out on every device. It cannot be taken back. Do you want that?"
    )
    signed_out = Words("{person} is signed out on {devices} {devices:device|devices}.")
    none_to_cancel = Words("There was no sign-in link for {person} to cancel.")
    cancelled = Words("Cancelled {links} sign-in {links:link|links} for {person}.")
    renew_answers = Words(
        "This ends the buttons on every message sent so far. It cannot be taken back. "
        "Do you want that?"
    )
    answers_renewed = Words(
        "The buttons on messages already sent no longer work. Those on the next message do."
    )
    pages = Words("The pages of {site} are at {url}")
    how_to_sign_in = Words("To sign in: {program} links --sign-in {person}")
    invitation = Words("This link signs {person} in on one device, once, within {minutes} minutes:")
    how_to_cancel = Words("To cancel it: {program} links --take-back {person}")
    this_machine = Words(
        "These work on this machine only. Set base_url under [web] to the address at which "
        "phones can reach it (deploy/README.md)."
    )


class AlertOutcome:
    """What came of a test message."""

    sent = Words("sent: look at the phone or the mailbox")
    unknown = Words("perhaps sent: no answer came back")
    transient = Words("not sent for now")
    bad_address = Words("the address was refused")
    misconfigured = Words("something is set up wrongly at this end")
    permanent = Words("the message was refused")


class AlertScreen:
    """What `test-alert` says of ways, and where no message can go out."""

    unreachable = Words("no message can reach {person}. {what_would_do}")
    how = Words("{how}.")
    phone = Words("{way} ({phone})")


class CopyScreen:
    """What `journal copy` asks, shows and answers."""

    in_use = Words(
        "Reminders that use {places} are running, so what is said from now on would be missing "
        "from the copy. Stop them and the pages first. Copy it anyway?"
    )
    progress = Words("{doing}: {percent} % of {rows} {rows:row|rows}")
    table = Words("table")
    rows = Words("rows")
    digest = Words("SHA-256 of the rows")
    copied = Words("Copied {source} to {target}: {rows} {rows:row|rows}.")
    went_on = Words(
        "Copied {source} to {target}: {rows} {rows:row|rows}, {before} of them by an earlier copy "
        "that was not finished."
    )
    equal = Words("Both sides were read again in full, and they are equal.")
    use_address = Words("To use it, set DUSKFOLD_JOURNAL to its address.")
    use_folder = Words("To use it, give --data {folder} and leave DUSKFOLD_JOURNAL unset.")
    use_file = Words("To use it, name it {name} and put it in a data folder.")
