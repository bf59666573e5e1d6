"""What a connection that did not come about means."""

import socket
import ssl

from scheduler.alerts.delivery import Outcome, OutcomeKind

_CERTIFICATE = {  # X509_V_ERR_..., OpenSSL x509_vfy.h (from memory; held by tests/channels)
    9: "is not valid yet; perhaps the clock of this machine is wrong",
    10: "has expired",
    62: "is for another name",  # of a host
    64: "is for another name",  # of an IP address
}
_MEANINGS: tuple[tuple[type[Exception], OutcomeKind, str], ...] = (  # the first that fits
    (ssl.SSLEOFError, "transient", "the connection was cut while it was being secured"),
    (ssl.SSLZeroReturnError, "transient", "the connection was cut while it was being secured"),
    (ssl.SSLError, "misconfigured", "the server does not speak TLS as it should"),
    (socket.gaierror, "transient", "the server's name was not found"),
    (TimeoutError, "transient", "no connection was made in time"),
    (ConnectionRefusedError, "transient", "the connection was refused"),
    (OSError, "transient", "the connection failed"),
    (Exception, "misconfigured", "the server's address or password cannot be sent as written"),
)


def unconnected(error: Exception) -> Outcome:
    """The outcome of an error before anything was sent; its reason names neither host nor text."""
    if isinstance(error, ssl.SSLCertVerificationError):
        said = _CERTIFICATE.get(error.verify_code, "is not signed by anybody this machine trusts")
        return Outcome("misconfigured", f"the server's certificate {said}")
    return next(
        Outcome(kind, reason) for fault, kind, reason in _MEANINGS if isinstance(error, fault)
    )
