"""What the keys of the two servers are."""

from scheduler.wording.words import Words


class MailServerKeys:
    """What the keys of the mail server are."""

    host = Words('name of the server, "mail.example.org"')
    port = Words("587 for starttls, 465 for tls")
    security = Words("starttls or tls; mail is never sent in the clear")
    user = Words("name to sign in with")
    sender = Words("the address that mail comes from")


class WebKeys:
    """What the keys of the pages are."""

    base_url = Words(
        'the address at which phones reach the pages, "https://hens.example.org"; without it '
        "messages carry no link"
    )
    listen = Words("the address and port to listen on")
    trusted_proxies = Words("reverse proxies that may say who is asking, by address or network")
    push_services = Words(
        "other push services that browsers may name, by their hosts; those of Chrome, Edge, "
        "Firefox and Safari are known"
    )
