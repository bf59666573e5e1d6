"""Who is let in: sign-in links, devices, renewed addresses."""

from scheduler.wording.words import Words


class LetIn:
    """Titles and bodies about who can open the pages."""

    stem = Words("Who is let in")
    signed_in = Words("{who} is signed in on another device: {device}")
    signed_in_body = Words("If that was not meant, end it on the page People.")
    signed_in_by = Words(
        "{who} had made the link. If that was not meant, end it on the page People."
    )
    signed_out = Words("{names} {count:is|are} signed out where {who} had let them in")
    signed_out_body = Words(
        "{who} {count:is|are} no longer in the profile, and every device they let in is signed "
        "out. Links and buttons in messages work as before. To get in again, ask for a sign-in "
        "link: it is made on the page People, or on Duskfold's machine."
    )
    invited = Words("{by} has made a sign-in link for {who}")
    invited_body = Words(
        "It signs one device in, within 15 minutes. If that was not meant, take it back on the "
        "page People; once somebody has used it, sign that device out there."
    )
    renewed = Words("The addresses and links of {who} are new")
    renewed_body = Words(
        "The old ones have ended, with the buttons of earlier messages to {who}, and {who} is "
        "signed out everywhere. The new ones are on the page Subscribe."
    )
    answers_renewed = Words("The buttons of earlier messages count no more")
    answers_renewed_body = Words("Use those of the next message, its link, or the pages.")
