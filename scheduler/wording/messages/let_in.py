"""Who is let in: sign-in links, devices, renewed addresses."""

from scheduler.wording.words import Words


class LetIn:
    """Titles and bodies about who can open the pages."""

    stem = Words("People and devices")
    signed_in = Words("{who} has signed in on another device: {device}")
    signed_in_body = Words("If that was not intended, sign that device out on the page People.")
    signed_in_by = Words(
        "{who} made the link. If that was not intended, sign that device out on the page People."
    )
    signed_out = Words("{names} {count:is|are} signed out wherever {who} let them in")
    signed_out_body = Words(
        "{who} {count:is|are} no longer in the profile, and every device they let in is signed "
        "out. Links and buttons in messages work as before. To sign in again, ask for a sign-in "
        "link. It can be made on the page People or on Duskfold's machine."
    )
    invited = Words("{by} has made a sign-in link for {who}")
    invited_body = Words(
        "It signs one device in, once, and works for 15 minutes. If that was not intended, cancel "
        "it on the page People. If somebody has used it already, sign that device out there."
    )
    renewed = Words("{who} has new links and calendar addresses")
    renewed_body = Words(
        "The old ones no longer work, and neither do the buttons on earlier messages to {who}. "
        "{who} is signed out everywhere. The new ones are on the page Subscribe."
    )
    answers_renewed = Words("Buttons on earlier messages no longer work")
    answers_renewed_body = Words("Use the buttons on the next message, its link, or the pages.")
