"""How something that cannot be used is told, and what was meant by it."""

from scheduler.wording.words import Words


class SaidOfProblem:
    """A problem in one sentence, which stands behind its file, line and key."""

    told = Words("found {found}; accepted: {accepted}.")


class Meant:
    """What is asked where something near to what was written can be used."""

    day = Words("Did you mean {day}?")
    spelling = Words('Did you mean "{spelling}"?')


class ShownValue:
    """What is said in place of a value that is not repeated."""

    table = Words("a table")
    several = Words("a list")
    large = Words("a very large number")


class Explained:
    """What is found or accepted where a key or a value does not fit its table."""

    missing = Words("nothing")
    some_value = Words("a value")
    unknown_key = Words("the unknown key {key}")
    several_wanted = Words("a list")
    table_wanted = Words("a table")


class SecretFound:
    """What is said of a secret in a profile, and in place of what would repeat it."""

    found = Words("a secret (not repeated here)")
    accepted = Words("profiles without passwords and tokens")
    instead = Words(
        "Give it in an environment variable or a file, as profiles are shown and copied."
    )
    hidden = Words("a value that holds the secret")
    something_else = Words("something else")
