"""Which ways out a household has: from its profile, its secrets and the key."""

from collections.abc import Callable, Container, Iterator, Mapping
from contextlib import suppress
from datetime import datetime

from scheduler.alerts.delivery import ChannelName
from scheduler.channels.deadline import USUAL, Limits
from scheduler.channels.port import Channel
from scheduler.profile.values import Profile
from scheduler.service.answers import push_servers, return_topic, token_for
from scheduler.service.reach import ways_of
from scheduler.service.secrets import SecretFault, in_plain_words

SecretOf = Callable[[str], str | None]
_PORTS = {"starttls": 587, "tls": 465}


def channels_for(  # noqa: PLR0913, PLR0917 - everything that a way out needs
    profile: Profile,
    secret_of: SecretOf,
    key: bytes,
    now: Callable[[], datetime],
    limits: Limits = USUAL,
    answers: int = 0,
    *,
    only: Container[ChannelName] | None = None,
) -> Mapping[ChannelName, Channel]:
    """The channels of the profile, ready to send; `answers` is the return topic's generation.

    Only those in `only`, where it is given: what the others need is not asked for.

    Raises:
        SecretFault: a secret that one of them needs is missing or cannot be read.
    """
    found: dict[ChannelName, Channel] = {}
    ways = {way for way in ways_of(profile) if only is None or way in only}
    if "push" in ways:
        found["push"] = _push(profile, secret_of, key, now, limits, answers)
    if "service" in ways:
        from scheduler.channels.service import ServiceChannel  # noqa: PLC0415 - an extra

        names = {person.service for person in profile.person if person.service}
        found["service"] = ServiceChannel({name: _needed(name, secret_of) for name in names})
    if "mail" in ways and profile.mail:
        from scheduler.channels.mail import MailChannel, MailSettings  # noqa: PLC0415 - as push

        server = profile.mail
        settings = MailSettings(
            host=server.host,
            port=server.port or _PORTS[server.security],
            security=server.security,
            user=server.user or "",
            password=_needed("mail-password", secret_of) if server.user else "",
            sender=server.sender,
        )
        found["mail"] = MailChannel(settings, now, limits=limits)
    return found


def _push(  # noqa: PLR0913, PLR0917 - as channels_for
    profile: Profile,
    secret_of: SecretOf,
    key: bytes,
    now: Callable[[], datetime],
    limits: Limits,
    answers: int = 0,
) -> Channel:
    from scheduler.channels.push import PushChannel  # noqa: PLC0415 - only who pushes needs TLS

    servers = push_servers(profile.person)
    return PushChannel(
        _Tokens(servers, "push-token", secret_of),
        return_topic(key, profile.site.id, answers),
        now,
        button_tokens=server_tokens(servers, "push-button-token", secret_of),
        limits=limits,
    )


def for_cancels(  # noqa: PLR0913, PLR0917 - as channels_for
    name: ChannelName,
    profile: Profile,
    secret_of: SecretOf,
    key: bytes,
    now: Callable[[], datetime],
    limits: Limits = USUAL,
) -> Channel | None:
    """Push although nobody has it any more: what a server still holds is to be taken back."""
    return _push(profile, secret_of, key, now, limits) if name == "push" else None


class _Tokens(Mapping[str, str]):
    """The tokens of the profile's servers; of another one only if a secret is its own.

    What lies on a server that has left the profile is taken back there.
    """

    def __init__(self, servers: tuple[str, ...], name: str, secret_of: SecretOf) -> None:
        self._servers, self._name, self._secret_of = servers, name, secret_of
        self._known = server_tokens(servers, name, secret_of)

    def __getitem__(self, server: str) -> str:
        found = self._known.get(server)
        if found is None and server not in self._servers:
            with suppress(SecretFault):
                found = token_for(server, (*self._servers, server), self._name, self._secret_of)
        if found is None:
            raise KeyError(server)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)


def server_tokens(servers: tuple[str, ...], name: str, secret_of: SecretOf) -> dict[str, str]:
    """The token of each server that has one."""
    found = {server: token_for(server, servers, name, secret_of) for server in servers}
    return {server: token for server, token in found.items() if token}


def not_given(profile: Profile, secret_of: SecretOf) -> Iterator[str]:
    """What is said of each secret that is missing and without which the reminders do not start."""
    ways = ways_of(profile)
    names = {person.service for person in profile.person if person.service}
    if "mail" in ways and profile.mail and profile.mail.user:
        names.add("mail-password")
    for name in sorted(names):
        try:
            _needed(name, secret_of)
        except SecretFault as fault:
            yield (
                f"{str(fault)[:1].upper()}{str(fault)[1:]}, where the reminders run (as a systemd "
                "credential, too). They do not start without it."
            )


def _needed(name: str, secret_of: SecretOf) -> str:
    value = secret_of(name)
    if value is None:
        variable = "DUSKFOLD_" + name.upper().replace("-", "_")
        raise SecretFault(
            f"the secret {name} is missing: give it by {variable} or {variable}_FILE",
            f"{in_plain_words(name)} is missing",
        )
    return value
