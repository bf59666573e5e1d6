"""What cannot be used of a command line, and what happens when the outside world fails."""

from scheduler.wording.words import Words


class Refusals:
    """What was found, where, and what is accepted there."""

    found = Words("{where}: found {found}; accepted: {accepted}.")
    typed = Words('{where}: found "{found}"; accepted: {accepted}.')
    typed_here = Words('found "{found}"; accepted: {accepted}.')
    log_level = Words('found "{found}"; accepted: {accepted}')
    no_place = Words("found nothing; accepted: the name of a file or folder")
    one_at_a_time = Words("found {found}; accepted: one at a time")


class FoundThere:
    """What may be found where something else is needed."""

    nothing = Words("nothing")
    both = Words("both {one} and {other}")
    not_yet_today = Words('"{time}", which has not come yet today')
    no_house = Words("no house")
    days = Words("{last} with --from {first}")
    something_else = Words("something else")


class AcceptedThere:
    """What is accepted at several places."""

    date = Words("a date such as 2026-12-21")
    years = Words("years {first} to {last}")
    none = Words("none")
    one_of_two = Words("one of the two")
    day_from = Words("{day} or a later day")
    days_from_first = Words("the day of --from or a later one, at most {days} days in all")
    until_now = Words("a time up to now")
    another_house = Words("another house of the profile")
    folder = Words("a folder, which may be new")
    journal = Words("a data folder, a file, or postgresql://user@server:5432/database")
    job_by_id = Words("one job by its id (jobs ticked)")
    jobs_words = Words("nothing, ticked, or undo JOB")
    job_ticked = Words("a job that was ticked: {jobs}")
    none_ticked = Words("nothing, because no job has been ticked")
    job = Words(
        "lock-up, let-out, range, or a job by its id or words from its title (duskfold jobs lists "
        "them)"
    )
    report_number = Words("the number of a report (duskfold {command})")
    report_listed = Words("a report that duskfold {command} lists")
    no_report = Words("nothing, because no report is in force")


class RefusalHints:
    """What may help where something was refused."""

    yesterday = Words("If you mean yesterday, add --evening.")
    postgresql = Words("Did you mean postgresql:// ?")
    other_command = Words("For report {number}, run: duskfold {command} {what} {number}")
    give_days = Words("Give the days with --from and --to.")


class Faults:
    """What is said when the outside world fails, and what is asked before something is done."""

    by_program = Words("{program}: {what}")
    of_file = Words("{file}: {error}")
    no_profile = Words("{file}: {error}. Write one with: duskfold init --profile {file}")
    profile_is_folder = Words("{file}: {error}. A profile is a file, such as {example}")
    run_again = Words("{question} If so, run it again with --yes.")
    yes_or_no = Words("{question} [y/N] ")
    nothing_done = Words("Nothing was done.")
    data_file = Words("the data file cannot be used. {why}")
    note = Words("Note: {note}")


class Speakers:
    """Who said something, where nobody in particular did."""

    somebody = Words("somebody at the terminal")


class SessionFaults:
    """Why a command cannot begin."""

    version = Words("duskfold {version} (journal schema {schema}, tzdata {zones})")
    data_is_file = Words(
        '{where}: found "{folder}", which is a file; accepted: a folder, which may be new. Nothing '
        "was done. The folder it is in: {parent}"
    )
    data_or = Words("DUSKFOLD_DATA or STATE_DIRECTORY")
    no_server = Words(
        "{where}: found something that is not the address of a server; accepted: "
        "postgresql://user@server:5432/database. Without it, everything is kept in a file in the "
        "data folder (--data)."
    )
    not_quite_server = Words(
        "{where}: found something that is not the address of a server; accepted: "
        "postgresql://user@server:5432/database. Did you mean postgresql:// ? Without it, "
        "everything is kept in a file in the data folder (--data)."
    )
    no_profile = Words("no profile found. Looked at:")
    write_one = Words("Write one with: duskfold init")
    last_is_used = Words(
        "the profile cannot be used (duskfold check says why), so the one the reminders use is "
        "used instead."
    )
    kept_id = Words(
        '[site] has no id, and what was kept belongs to "{kept}", so that is used. '
        'Write id = "{kept}" there, or an id of its own if it is a different place.'
    )
    other_site = Words(
        'what was kept belongs to the site "{kept}", but this profile is for "{site}". Nothing was '
        "changed."
    )
    problems = Words("{count} {count:problem|problems}, so nothing was done.")
