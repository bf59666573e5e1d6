"""A throw-away certificate authority for servers on loopback."""

import ssl
from datetime import datetime
from pathlib import Path

import trustme

HERE = "127.0.0.1"


class Authority:
    """Issues certificates; `client` trusts them, and so does a program given `file`.

    A program in another process trusts it when its environment has SSL_CERT_FILE=`file`.
    """

    def __init__(self) -> None:
        self._authority = trustme.CA()

    def server(
        self,
        name: str = HERE,
        *,
        not_before: datetime | None = None,
        not_after: datetime | None = None,
    ) -> ssl.SSLContext:
        """What a server of that name shows."""
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        leaf = self._authority.issue_cert(name, not_before=not_before, not_after=not_after)
        leaf.configure_cert(context)
        return context

    def client(self) -> ssl.SSLContext:
        """The usual client settings, trusting this authority alone."""
        pem = self._authority.cert_pem.bytes().decode()
        return ssl.create_default_context(cadata=pem)

    def file(self, folder: Path) -> Path:
        """The authority's certificate as a file."""
        path = folder / "authority.pem"
        self._authority.cert_pem.write_to_path(path)
        return path
