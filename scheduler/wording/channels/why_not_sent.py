"""Why a message did not go out, as the journal keeps it (`told_later`)."""

from scheduler.wording.words import Words


class WhyUnconnected:
    """A connection that did not come about."""

    cut = Words("the connection was cut while it was being secured")
    no_tls = Words("the server does not speak TLS as it should")
    no_name = Words("the server's name was not found")
    inside = Words("the server's name leads to somewhere inside this network, not to the internet")
    too_slow = Words("no connection was made in time")
    refused = Words("the connection was refused")
    failed = Words("the connection failed")
    unsendable = Words("the server's address or password cannot be sent as written")


class WhyUntrusted:
    """A server's certificate that is not believed."""

    too_early = Words(
        "the server's certificate is not valid yet; perhaps the clock of this machine is wrong"
    )
    expired = Words("the server's certificate has expired")
    other_name = Words("the server's certificate is for another name")
    unknown_signer = Words("the server's certificate is not signed by anybody this machine trusts")


class WhyNoAnswer:
    """A web server that answered nothing, or not as one."""

    none = Words("no answer came back")
    not_web = Words("what answered there is not a web server")
    cut_off = Words("the answer was cut off")


class WhyNoPush:
    """A message that a push server did not take, hold or take back."""

    cannot_cancel = Words("this push server cannot take a held message back")
    still_there = Words("the push server still holds it")
    not_now = Words("the push server must be left alone for a while")
    other_token = Words("the push server wants a different token here (401)")
    not_let_in = Words("the push server does not let us in here (403)")
    no_topic = Words("the push server knows no such topic (404)")
    too_long = Words("the push server finds the message too long (413)")
    bad_topic = Words("this is not the address of a push topic")
    too_late = Words("too late to hold")
    nothing_held = Words("no message to take back")
    takes_nothing_back = Words("the push server takes nothing back (404)")
    no_look = Words("the push server does not let us look")
    long_list = Words("the push server's list is too long")
    not_push = Words("what answered there is not a push server")
    busy = Words("the push server is busy or broken ({status})")
    moved = Words("the push server has moved ({status})")
    refused = Words("the push server refused ({status})")


class WhyNoMail:
    """A mail that the mail server did not take; `stage` is how far it came."""

    no_hold = Words("mail cannot hold messages")
    bad_address = Words("this is not an address that mail can carry")
    bad_sender = Words("the sender's address is not one that mail can carry")
    no_id = Words("the message has no id")
    no_answer = Words("no answer from the mail server ({stage})")
    refused = Words("the mail server refused: {stage} ({code})")
    perhaps = Words("no answer after the whole mail was sent")
    no_tls = Words("the mail server offers no secured connection")
    no_login = Words("the mail server offers no login we know")
    nonsense = Words("the answer after the whole mail made no sense")
    no_server = Words("no mail server answers there ({stage})")


class MailStages:
    """How far the handing over of a mail came."""

    greeting = Words("greeting")
    hello = Words("hello")
    tls = Words("TLS")
    login = Words("login")
    sender = Words("sender")
    recipient = Words("recipient")
    message = Words("message")
    end = Words("end")


class WhyNoService:
    """A message that another service did not take."""

    no_hold = Words("services cannot hold messages")
    no_such = Words("no service of that name is set up")
    install = Words("install duskfold[services]")
    too_slow = Words("the service did not answer in time")
    plugin_failed = Words("the service's plug-in failed ({error})")
    unknown = Words("no such service, or it needs one more package")
    nobody = Words("apprise knows no service to tell")
    refused = Words("the service did not take the message")
    perhaps = Words("the service may have taken the message")


class WhyNotTried:
    """A message that no channel was asked to send, or that a fault kept from it."""

    no_way = Words("no address, or the channel is not set up any more")
    own_fault = Words("a fault of the program")


class WhyDeaf:
    """Why the answers of buttons do not come in."""

    no_thread = Words("this machine has no room for another thread")
    ended = Words("the connection ended")
    not_taken = Words("an answer could not be taken ({error})")
    silent = Words("nothing comes over the line to the push server")
