"""What is said beside each input about the servers that send mail and show the pages."""

from scheduler.wording.words import Words


class MailServerLabels:
    """What the keys of the mail server are called."""

    host = Words("Server that sends your mail")
    port = Words("Its port")
    security = Words("How the connection is kept private")
    user = Words("Name to sign in with there")
    sender = Words("Address that mail comes from")


class MailServerPurposes:
    """What the keys of the mail server are for."""

    port = Words("Left empty, it is 587 for STARTTLS and 465 for TLS.")
    user = Words("Its password is kept on the server, never here.")


class SecurityChoices:
    """How a mail server can be spoken to."""

    starttls = Words("STARTTLS")
    tls = Words("TLS from the beginning")


class WebLabels:
    """What the keys of the pages are called."""

    base_url = Words("Address of these pages")


class WebPurposes:
    """What the keys of the pages are for."""

    base_url = Words("Links in messages begin with it.")
