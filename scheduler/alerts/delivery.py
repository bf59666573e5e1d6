"""Messages and what became of them: one delivery is one message, to one person, over one channel.

Everything here is a value. A delivery is known by its key, not by a row number or an instant, so
that the same step is never told twice, whatever the clock does.
"""

from dataclasses import KW_ONLY, dataclass, field, replace
from datetime import UTC, date, datetime
from hashlib import sha256
from typing import Annotated, Literal, get_args

from pydantic import AfterValidator

from scheduler.alerts.step import Step

# What was kept as text comes back in the one zone that instants have.
Instant = Annotated[datetime, AfterValidator(lambda at: at.astimezone(UTC))]

ChannelName = Literal["phone", "push", "service", "mail"]
WITH_BUTTONS = frozenset[ChannelName]({"phone", "push"})
Operation = Literal["send", "hold", "cancel"]
State = Literal["pending", "sending", "sent", "perhaps sent", "dead", "dropped", "missed", "early"]
OutcomeKind = Literal["sent", "transient", "unknown", "bad address", "misconfigured", "permanent"]
Priority = Literal[1, 2, 3, 4, 5]
PRIORITIES: tuple[Priority, ...] = get_args(Priority)
QUIET: Priority = 2
USUAL: Priority = 3
LOUD: Priority = 4
LOUDEST: Priority = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """What a delivery is: step of an evening (or of a site's day), person, channel.

    `opening` counts how often the evening's door was reopened. `address` tells several of the
    person's over the channel apart; it is empty where they have one, whatever that is.
    """

    site_id: str
    subject_id: str
    day: date
    step: Step
    opening: int
    person_id: str
    channel: ChannelName
    address: str = field(default="", repr=False)

    @property
    def message_id(self) -> str:
        """32 hex digits: equal over retries, different for every other key."""
        return self._id_of(str(self.step))

    @property
    def id_of_second(self) -> str:
        """The id of what goes out once more because it went out too early."""
        return self._id_of(self.step.text_once_more)

    def _id_of(self, step: str) -> str:
        parts = (
            self.site_id,
            self.subject_id,
            self.day.isoformat(),
            step,
            str(self.opening),
            self.person_id,
            self.channel,
            *([self.address] if self.address else ()),
        )
        return sha256("\x1f".join(parts).encode()).hexdigest()[:32]

    @property
    def id_of_held(self) -> str:
        """The id of the message of that evening that a push server holds for the person."""
        held = replace(self, step=Step("hold"), opening=0, channel="push", address="")
        return held.message_id

    @property
    def thread_id(self) -> str:
        """32 hex digits that all deliveries of one evening to one person share."""
        parts = ("thread", self.site_id, self.subject_id, self.day.isoformat(), self.person_id)
        return sha256("\x1f".join(parts).encode()).hexdigest()[:32]


def site_key(  # noqa: PLR0913, PLR0917 - a delivery in parts
    site_id: str, day: date, step: Step, person_id: str, channel: ChannelName, address: str = ""
) -> Key:
    """The key of what a site tells besides its evenings; of an `address` only which phone."""
    return Key(
        site_id=site_id,
        subject_id=site_id,
        day=day,
        step=step,
        opening=0,
        person_id=person_id,
        channel=channel,
        address=address if channel == "phone" else "",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A button under a message: its label, and the answer that pressing it sends."""

    label: str
    answer: str


@dataclass(frozen=True, slots=True)
class Message:
    """What a person reads: `title` says it within 80 characters, `body` adds to it.

    `stem` is the subject of every mail of the same evening, so that mail programs keep them
    together; without one it is the title. `rings_at` is when a held message rings, or would have
    rung that is taken back; `target_id` is the message that a cancellation takes back. `link` is
    opened by a tap. From `stale_at` on another message is to be read in its place.
    """

    title: str
    body: str
    _: KW_ONLY
    stem: str = ""
    priority: Priority = USUAL
    buttons: tuple[Button, ...] = ()
    link: str = ""
    rings_at: Instant | None = None
    target_id: str = ""
    stale_at: Instant | None = None

    def __post_init__(self) -> None:
        """A message that stands alone has its title as subject."""
        if not self.stem:
            object.__setattr__(self, "stem", self.title)


@dataclass(frozen=True, slots=True, kw_only=True)
class Matter:
    """What a delivery tells of that its step and the evening do not say.

    It `says` one of the site's messages, of the values `told` as JSON, with whole sentences
    `behind`; or `words` were kept for it. `of_coop` is the house of which something else was said.
    `unheard`: of a search, nobody has told them yet that the door is shut. What did not get through
    to somebody else by the way `not_by` comes with their name.
    """

    words: Message | None = None
    says: str = ""
    told: str = field(default="", repr=False)
    behind: tuple[str, ...] = ()
    of_coop: str = ""
    unheard: bool = False
    not_by: ChannelName | None = None


AS_IT_STANDS = Matter()


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Something to tell; it is of no use any more after `useful_until`.

    Its words are made when it is sent. Without an `address` it goes where the person is reached
    when it goes out. A held one rings at `rings_at`, and one that takes it back would have. `mark`
    is of what it told of the doors, `generation` of the links it went out with, once it has gone.
    """

    key: Key
    operation: Operation = "send"
    priority: Priority = USUAL
    matter: Matter = AS_IT_STANDS
    due_at: datetime
    useful_until: datetime
    rings_at: Instant | None = None
    state: State = "pending"
    mark: str = ""
    generation: int | None = None
    address: str | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outgoing:
    """What a channel gets: the message, where it goes, and the ids that tell copies apart.

    `of_evening`: those of one thread are of one evening, and the newest takes the place of the
    others.
    """

    operation: Operation
    message: Message
    address: str
    person_name: str
    message_id: str
    thread_id: str
    of_evening: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one attempt.

    `reason` holds no address, token or name. `retry_after_s` is what the other side asked for.
    sent: the other side has it. transient: it has not, try again. unknown: it may have it.
    bad address: this person's address is refused for good. misconfigured: our side is set up
    wrongly (password, certificate), for everybody. permanent: this message will never be taken.
    """

    kind: OutcomeKind
    reason: str = ""
    _: KW_ONLY
    retry_after_s: float | None = None
