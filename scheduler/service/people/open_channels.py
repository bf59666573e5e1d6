"""Which ways out a household has: from its profile, its secrets and the key."""

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from types import MappingProxyType
from typing import Any
from urllib.parse import urlsplit

from scheduler.alerts.delivery import ChannelName, Outgoing
from scheduler.alerts.phone import Subscription
from scheduler.channels.deadline import USUAL, Limits
from scheduler.channels.port import Channel
from scheduler.machine.phone_key import PhoneKey
from scheduler.machine.secrets import SecretFault, missing
from scheduler.profile.person import Person
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized
from scheduler.service.reachable import Lack, place_of, ways_of, who_can_be_told
from scheduler.tokens.answer import return_topic
from scheduler.tokens.receipt import Receipt
from scheduler.wording.service.people import NotGiven
from scheduler.wording.spoken import listed

SecretOf = Callable[[str], str | None]
_MAIL_PASSWORD = "mail-password"  # noqa: S105 - the name of the secret
NOTHING: Mapping[str, Any] = MappingProxyType({})
NOBODYS_ADDRESS = "duskfold@invalid.invalid"  # RFC 8292 §2.1 asks for one; RFC 2606: nobody has it
_PORTS = {"starttls": 587, "tls": 465}


@dataclass(frozen=True, slots=True, kw_only=True)
class PhonesOut:
    """What ringing phones needs: the key pair, where each phone is reached.

    `wired` is what a test's own push service asks for (its TLS, its loopback address).
    """

    key: Callable[[], PhoneKey | None]
    subscription_of: Callable[[str], Subscription | None]
    wired: Mapping[str, Any] = field(default_factory=dict)


def push_servers(people: Iterable[Person]) -> tuple[str, ...]:
    """The servers of everybody's push topics, each once."""
    return tuple(dict.fromkeys(place_of("push", one.push) for one in people if one.push))


def token_for(server: str, servers: Sequence[str], name: str, secret_of: SecretOf) -> str | None:
    """A server's secret: its own ("push-token-push-example-net"), else the plain ("push-token").

    The plain one is used where there is only one server: no server gets another's token.
    """
    host = urlsplit(server).netloc.replace(".", "-").replace(":", "-").lower()
    return secret_of(f"{name}-{host}") or (secret_of(name) if len(servers) == 1 else None)


def channels_for(  # noqa: PLR0913, PLR0917 - everything that a way out needs
    profile: Profile,
    secret_of: SecretOf,
    key: bytes,
    now: Callable[[], datetime],
    limits: Limits = USUAL,
    answers: int = 0,
    *,
    phones: PhonesOut | None = None,
    only: Container[ChannelName] | None = None,
) -> Mapping[ChannelName, Channel]:
    """The channels of the profile, ready to send; `answers` is the return topic's generation.

    Only those in `only`, where it is given: what the others need is not asked for. A channel whose
    secret is `lacking` is left out, or cannot send there; the others do without it.
    """
    found: dict[ChannelName, Channel] = {}
    ways = {way for way in ways_of(profile) if only is None or way in only}
    if "phone" in ways and phones and (pair := phones.key()):
        found["phone"] = _phone(profile, key, pair, phones, now, limits)
    if "push" in ways:
        found["push"] = _push(profile, secret_of, key, now, limits, answers)
    if "service" in ways:
        from scheduler.channels.service import ServiceChannel  # noqa: PLC0415 - an extra

        urls = {name: _given(name, secret_of) for name in _services(profile)}
        found["service"] = ServiceChannel({name: url for name, url in urls.items() if url})
    password = _given(_MAIL_PASSWORD, secret_of) if "mail" in ways and profile.mail else None
    if "mail" in ways and profile.mail and (password or not profile.mail.user):
        from scheduler.channels.mail import MailChannel, MailSettings  # noqa: PLC0415 - as push

        server = profile.mail
        settings = MailSettings(
            host=server.host,
            port=server.port or _PORTS[server.security],
            security=server.security,
            user=server.user or "",
            password=(password or "") if server.user else "",
            sender=server.sender,
        )
        found["mail"] = MailChannel(settings, now, limits=limits)
    return found


def _phone(  # noqa: PLR0913, PLR0917 - as channels_for
    profile: Profile,
    key: bytes,
    pair: PhoneKey,
    phones: PhonesOut,
    now: Callable[[], datetime],
    limits: Limits,
) -> Channel:
    from scheduler.channels.web_push import PhoneChannel  # noqa: PLC0415 - as push

    def receipt_of(one: Outgoing) -> str:
        site_id = profile.site.id
        receipt = Receipt(site_id=site_id, phone_id=one.address, message_id=one.message_id)
        return receipt.text(key)

    return PhoneChannel(
        subscription_of=phones.subscription_of,
        private=pair.private,
        public=pair.public,
        subject=contact_of(profile),
        receipt_of=receipt_of,
        now=now,
        limits=limits,
        **{"more_hosts": profile.web.push_services, **phones.wired},
    )


def contact_of(profile: Profile) -> str:
    """Whom a push service may write to about us: the pages' address, else the mail's sender."""
    base_url = profile.web.base_url or ""
    if base_url.startswith("https://"):
        return base_url
    return f"mailto:{profile.mail.sender if profile.mail else NOBODYS_ADDRESS}"


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
        button_tokens=_readable_tokens(servers, "push-button-token", secret_of),
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
        self._known = _readable_tokens(servers, name, secret_of)

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
    """The token of each server that has one.

    Raises:
        SecretFault: one of them cannot be read.
    """
    found = {server: token_for(server, servers, name, secret_of) for server in servers}
    return {server: token for server, token in found.items() if token}


def _readable_tokens(servers: tuple[str, ...], name: str, secret_of: SecretOf) -> dict[str, str]:
    found = {}
    for server in servers:
        with suppress(SecretFault):
            if token := token_for(server, servers, name, secret_of):
                found[server] = token
    return found


def lacking(profile: Profile, secret_of: SecretOf) -> tuple[Lack, ...]:
    """Each secret without which a way out of the profile cannot be used, in one order."""
    ways = ways_of(profile)
    needed: list[tuple[ChannelName, str, Callable[[], object]]] = []
    if "mail" in ways and profile.mail and profile.mail.user:
        needed.append(("mail", "", lambda: _needed(_MAIL_PASSWORD, secret_of)))
    servers = push_servers(profile.person) if "push" in ways else ()
    needed += [
        ("push", server, partial(token_for, server, servers, "push-token", secret_of))
        for server in servers
    ]
    needed += [("service", name, partial(_needed, name, secret_of)) for name in _services(profile)]
    found = []
    for channel, place, ask in needed:
        try:
            ask()
        except SecretFault as fault:
            why, how, in_file = fault.plainly, str(fault), fault.in_file
            found.append(Lack(channel=channel, place=place, why=why, how=how, in_file=in_file))
    return tuple(found)


def secrets_hash(profile: Profile, secret_of: SecretOf) -> int:
    """Another number in this process once a secret that the profile needs has another value."""
    servers = push_servers(profile.person)
    tokens = (
        _readable_tokens(servers, name, secret_of) for name in ("push-token", "push-button-token")
    )
    plain = (_given(name, secret_of) for name in (_MAIL_PASSWORD, *_services(profile)))
    return hash((*plain, *(tuple(of.items()) for of in tokens)))


def not_given(profile: Profile, secret_of: SecretOf) -> Iterator[str]:
    """What is said of each secret that is missing: how to give it, and who is not told then."""
    lacks = lacking(profile, secret_of)
    cut_off = who_can_be_told(profile, ways_of(profile), {}, None).lacking(lacks).cut_off
    for lack in lacks:
        says = NotGiven.in_file if lack.in_file else NotGiven.given_anew
        yield says(how=capitalized(lack.how), way=lack.by)
    if lacks and cut_off:
        yield NotGiven.cut_off(names=listed(cut_off))


def _services(profile: Profile) -> list[str]:
    return sorted({person.service for person in profile.person if person.service})


def _given(name: str, secret_of: SecretOf) -> str | None:
    with suppress(SecretFault):
        return secret_of(name)
    return None


def _needed(name: str, secret_of: SecretOf) -> str:
    value = secret_of(name)
    if value is None:
        raise missing(name)
    return value
