"""What a connection that did not come about means."""

import socket
import ssl

from scheduler.alerts.delivery import Outcome, OutcomeKind
from scheduler.channels.deadline import InsideError
from scheduler.wording.channels.why_not_sent import WhyUnconnected, WhyUntrusted
from scheduler.wording.told_later import for_later
from scheduler.wording.words import Words

_CERTIFICATE = {  # X509_V_ERR_..., OpenSSL x509_vfy.h (from memory; held by tests/channels)
    9: WhyUntrusted.too_early,
    10: WhyUntrusted.expired,
    62: WhyUntrusted.other_name,  # of a host
    64: WhyUntrusted.other_name,  # of an IP address
}
_MEANINGS: tuple[tuple[type[Exception], OutcomeKind, Words], ...] = (  # the first that fits
    (ssl.SSLEOFError, "transient", WhyUnconnected.cut),
    (ssl.SSLZeroReturnError, "transient", WhyUnconnected.cut),
    (ssl.SSLError, "misconfigured", WhyUnconnected.no_tls),
    (socket.gaierror, "transient", WhyUnconnected.no_name),
    (InsideError, "misconfigured", WhyUnconnected.inside),
    (TimeoutError, "transient", WhyUnconnected.too_slow),
    (ConnectionRefusedError, "transient", WhyUnconnected.refused),
    (OSError, "transient", WhyUnconnected.failed),
    (Exception, "misconfigured", WhyUnconnected.unsendable),
)


def unconnected(error: Exception) -> Outcome:
    """The outcome of an error before anything was sent; its reason names neither host nor text."""
    if isinstance(error, ssl.SSLCertVerificationError):
        why = _CERTIFICATE.get(error.verify_code, WhyUntrusted.unknown_signer)
        return Outcome("misconfigured", for_later(why))
    return next(
        Outcome(kind, for_later(why)) for fault, kind, why in _MEANINGS if isinstance(error, fault)
    )
