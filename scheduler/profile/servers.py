"""The server that takes our mail, and the one that shows our pages."""

from typing import Annotated, Literal

from scheduler.profile.field_readers import number
from scheduler.profile.fields import BaseUrl, Host, Listen, Mail, Networks, PushServices, Text, Word
from scheduler.profile.frozen_table import Value, key, needed
from scheduler.wording.profile.server_keys import MailServerKeys, WebKeys

MailSecurity = Literal["starttls", "tls"]


class MailServer(Value):
    """The server that sends our mail. Its password is a secret and is kept elsewhere."""

    host: Host = needed(MailServerKeys.host)
    port: Annotated[int, number(1, 65535, whole=True)] | None = key(None, MailServerKeys.port)
    security: Word[MailSecurity] = key("starttls", MailServerKeys.security)
    user: Text | None = key(None, MailServerKeys.user)
    sender: Mail = needed(MailServerKeys.sender, alias="from")


class Web(Value):
    """The pages and calendars that `duskfold serve` offers."""

    base_url: BaseUrl | None = key(None, WebKeys.base_url)
    listen: Listen = key("127.0.0.1:8640", WebKeys.listen)
    trusted_proxies: Networks = key((), WebKeys.trusted_proxies)
    push_services: PushServices = key((), WebKeys.push_services)

    @property
    def local_url(self) -> str:
        """Where the pages are reached on this machine itself."""
        host, _, port = self.listen.rpartition(":")
        own = {"0.0.0.0": "127.0.0.1", "[::]": "[::1]"}  # noqa: S104 - read, not bound
        return f"http://{own.get(host, host)}:{port}"
