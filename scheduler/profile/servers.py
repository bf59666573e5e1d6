"""The server that takes our mail, and the one that shows our pages."""

from typing import Annotated, Literal

from pydantic import Field

from scheduler.profile.field_readers import number
from scheduler.profile.fields import BaseUrl, Host, Listen, Mail, Networks, Text, Word
from scheduler.profile.frozen_table import Value, key

MailSecurity = Literal["starttls", "tls"]


class MailServer(Value):
    """The server that sends our mail. Its password is a secret and is kept elsewhere."""

    host: Host = Field(description='name of the server, "mail.example.org"')
    port: Annotated[int, number(1, 65535, whole=True)] | None = key(
        None, "587 for starttls, 465 for tls"
    )
    security: Word[MailSecurity] = key(
        "starttls", "starttls or tls; mail is never sent in the clear"
    )
    user: Text | None = key(None, "name to sign in with")
    sender: Mail = Field(alias="from", description="the address that mail comes from")


class Web(Value):
    """The pages and calendars that `duskfold serve` offers."""

    base_url: BaseUrl | None = key(
        None,
        'the address at which phones reach the pages, "https://hens.example.org"; without it '
        "messages carry no link",
    )
    listen: Listen = key("127.0.0.1:8640", "the address and port to listen on")
    trusted_proxies: Networks = key(
        (), "reverse proxies that may say who is asking, by address or network"
    )

    @property
    def local_url(self) -> str:
        """Where the pages are reached on this machine itself."""
        host, _, port = self.listen.rpartition(":")
        own = {"0.0.0.0": "127.0.0.1", "[::]": "[::1]"}  # noqa: S104 - read, not bound
        return f"http://{own.get(host, host)}:{port}"
