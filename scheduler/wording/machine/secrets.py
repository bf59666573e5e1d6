"""Secrets and files that are missing, or cannot be used."""

from scheduler.wording.words import Words


class SecretMissing:
    """A secret that nobody has given, without its name: for a page, kept (`told_later`)."""

    mail = Words("the password of the mail server is missing")
    push = Words("the token of the push server is missing")
    service = Words("the address of the message service is missing")


class SecretUnreadable:
    """A secret whose file cannot be used, without its name: for a page, kept (`told_later`)."""

    mail = Words("the password of the mail server cannot be read")
    push = Words("the token of the push server cannot be read")
    service = Words("the address of the message service cannot be read")


class SecretFaults:
    """The same for a terminal, where variables and paths are told."""

    missing = Words("the secret {name} is missing: set {variable} or {variable}_FILE")
    unreadable = Words("{variable}_FILE: {path}: {why}")
    not_text = Words("not text")
    empty = Words("empty")
    too_large = Words("more than {most} bytes")


class FileFaults:
    """Files of the data folder that are not used."""

    short_key = Words("not a key of at least {least} bytes")
    damaged_phone_key = Words(
        "not the two lines of a key that phones are rung with: put the file of the backup there"
    )
    link = Words("a link that root would follow; remove it, or run this as the folder's owner")


class LookedAt:
    """Where a profile was looked for."""

    option = Words("--profile (not given)")
    variable = Words("DUSKFOLD_PROFILE (not set)")
