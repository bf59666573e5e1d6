"""What is said of a profile: what it lays open, and what its changed names mean."""

from scheduler.wording.words import Words


class Exposed:
    """What strangers could use or read."""

    guessable = Words(
        "{name}'s push topic is short or easy to guess. Anybody who finds it can read the messages "
        "and use their buttons to say that the door is shut. Choose a long random one, such as "
        "{example}"
    )
    plain_topic = Words(
        "{server} is reached without encryption, so anybody listening on the way learns the topic "
        "of {name}. Use https."
    )
    plain_token = Words(
        "{server} is reached without encryption, so anybody listening on the way learns the topic "
        "and the token of {name}. Use https."
    )
    proxies = Words(
        "trusted_proxies believes all of {network}, so anybody there can claim to be somebody else "
        "and is never told to wait. Name only the address of your own proxy."
    )


class Renamed:
    """Something went where something came: what ends with it, and what to write if it need not."""

    site = Words(
        "{was} is gone and {now} is new, so its diary, its reports, every calendar address and "
        "every sign-in end with {was}. If only the name has changed, write "
        'id = "{id}" beside it in [site].'
    )
    coop = Words(
        "{was} is gone and {now} is new, so its diary, what was noted of its birds and the address "
        "of its own calendar end with {was}. If only the name has changed, write "
        'id = "{id}" beside it in [[coop]].'
    )
    flock = Words(
        "{was} is gone and {now} is new, so the record of its jobs ends with {was}. If only the "
        'name has changed, write id = "{id}" beside it in [[flock]].'
    )
    person = Words(
        "{was} is gone and {now} is new, so the addresses, links and sign-ins of that name end "
        'with {was}. If only the name has changed, write id = "{id}" beside it in [[person]].'
    )
    care = Words(
        "{was} is gone and {now} is new, so the record of when it was last done ends with {was}. "
        'If only the name has changed, write id = "{id}" beside it in [[care]].'
    )


class SiteRenamed:
    """The site has another name, and nobody wrote an id."""

    asked = Words(
        "The site was {was} and is {now}, and has no id. If only the name has changed, write "
        'id = "{id}" beside it in [site]. If it is another place, give it an id of its own. Until '
        "then, the reminders go by the profile as it was."
    )
    same_id = Words(
        "The site was {was} and is {now}. Both have the id {id}, because neither name has Latin "
        "letters, so diary, calendars and sign-ins go on as those of one place. If it is another "
        "place, write an id of its own beside it in [site], such as "
        'id = "orchard".'
    )
    person = Words(
        '"{was}" is gone and {now} is new. If only the name has changed, write id = "{was}" beside '
        "it in [[person]], and the old addresses, links and sign-ins go on. Otherwise they end "
        "thirty days after the change."
    )
