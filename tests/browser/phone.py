"""A phone whose browser is real but for its push service: what is pushed is handed to the worker.

Chromium's own subscribe() needs its maker's server (phone-push.md §4), so that alone is a fake.
"""

import json
from base64 import urlsafe_b64encode
from dataclasses import dataclass, field
from typing import Any

from scheduler.alerts.phone import Subscription
from scheduler.machine.signing_key import signing_key
from scheduler.tokens.answer import SignedAnswer, Verb
from scheduler.wording.channels.phone_words import PhoneSays
from scheduler.wording.words import every
from tests.browser.conftest import Device
from tests.faults.house import WINTER
from tests.web.front import Front

ENDPOINT = "https://fcm.googleapis.com/fcm/send/a-phone"
# The key of RFC 8291, Appendix A: a point that lies on the curve.
P256DH = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
AUTH = "BTBZMqHH6r4Tts7J_aSIgg"
SUBSCRIPTION = Subscription(endpoint=ENDPOINT, p256dh=P256DH, auth=AUTH, key_id="k")
THREAD = "a" * 32
STUB = """(info) => {
  const made = (options) => ({
    ...info, options, toJSON: () => info,
    unsubscribe: async () => { localStorage.removeItem("subscribed"); return true; } });
  const octets = (text) => Uint8Array.from(atob(text), (one) => one.charCodeAt(0)).buffer;
  PushManager.prototype.getSubscription = async () => {
    const key = localStorage.getItem("subscribed");
    return key ? made({ applicationServerKey: octets(key) }) : null; };
  PushManager.prototype.subscribe = async ({ applicationServerKey }) => {
    if (Notification.permission !== "granted") throw new DOMException("", "NotAllowedError");
    localStorage.setItem("subscribed", btoa(String.fromCharCode(...applicationServerKey)));
    return made({ applicationServerKey }); }; }"""
PRESS = """async ([tag, action]) => {
  const [notification] = await self.registration.getNotifications({ tag });
  const event = new NotificationEvent("notificationclick", { notification, action });
  const waits = [];  // an event made by script refuses waitUntil
  Object.defineProperty(event, "waitUntil", { value: (work) => waits.push(work) });
  self.dispatchEvent(event); await Promise.all(waits); }"""
SHOWN = """async () => {
  return (await self.registration.getNotifications()).map((one) => ({
    title: one.title, body: one.body, tag: one.tag, silent: one.silent,
    buttons: one.actions.map((each) => each.title) })); }"""


@dataclass
class Phone:
    """Somebody's device with the permission to show messages, and its worker."""

    device: Device
    subscription: Subscription = SUBSCRIPTION
    cdp: Any = None
    _worker: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        mine = self.device
        mine.context.grant_permissions(["notifications"], origin=mine.base)
        one = self.subscription
        given = {"endpoint": one.endpoint, "keys": {"p256dh": one.p256dh, "auth": one.auth}}
        mine.context.add_init_script(f"({STUB})({json.dumps(given)})")

    def awake(self) -> None:
        """Waits until the worker of the page is there."""
        found: list[dict[str, str]] = []
        page = self.device.page
        page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
        self.cdp = self.device.context.new_cdp_session(page)  # the browser's has no worker
        self.cdp.on(
            "ServiceWorker.workerRegistrationUpdated", lambda e: found.extend(e["registrations"])
        )
        for number in range(500):
            if number % 50 == 0:  # it says what there is as it is switched on
                self.cdp.send("ServiceWorker.disable")
                self.cdp.send("ServiceWorker.enable")
            if found:
                break
            page.wait_for_timeout(20)
        self._worker = {
            "origin": self.device.base,
            "registrationId": found[-1]["registrationId"],
        }

    def receives(self, message: str) -> None:
        """A push service delivers that, opened already."""
        self.cdp.send("ServiceWorker.deliverPushMessage", {**self._worker, "data": message})

    def has_reception(self) -> None:
        """The browser says that what waited can go out."""
        self.device.context.set_offline(False)
        self.cdp.send(
            "ServiceWorker.dispatchSyncEvent",
            {**self._worker, "tag": "answers", "lastChance": False},
        )

    def is_told(self) -> None:
        """Waits until no answer waits any more."""
        for _ in range(500):
            if not self.in_worker("() => waiting()"):
                return
            self.device.page.wait_for_timeout(20)
        raise AssertionError("an answer still waits")

    def it_is(self, clock: str) -> None:
        """Moves the clocks of the house, of the page and of the worker."""
        self.device.it_is(clock)
        at = int(self.device.pages.house.now.timestamp() * 1000)
        self.in_worker("(at) => { Date.now = () => at; }", at)

    def in_worker(self, script: str, given: object = None) -> Any:
        """What the script gives in the worker."""
        return self.device.context.service_workers[-1].evaluate(script, given)

    def press(self, text: str, button: int) -> None:
        """Presses that button of the message that says so."""
        self.in_worker(PRESS, [self.shows(text)["tag"], str(button)])

    @property
    def shown(self) -> list[dict[str, Any]]:
        """Every message on the screen."""
        found: list[dict[str, Any]] = self.in_worker(SHOWN)
        return found

    def shows(self, text: str) -> dict[str, Any]:
        """Waits until a message on the screen says that in its title or its text."""
        for _ in range(500):
            for one in self.shown:
                if text in f"{one['title']} {one['body']}":
                    return one
            self.device.page.wait_for_timeout(20)
        raise AssertionError((text, self.shown))


def message(  # noqa: PLR0913 - what differs between messages, by name
    pages: Front,
    title: str,
    *,
    number: int,
    silent: bool = False,
    who: str = "ana",
    receipt: str = "",
    tag: str = THREAD,
) -> str:
    """One of the evening's messages to that person, as the phone reads it: the `number`th."""
    key = signing_key(pages.house.data, {})

    def answer(verb: Verb, label: str, birds: tuple[int, ...] | None) -> dict[str, str]:
        said = SignedAnswer(
            verb=verb,
            site_id="orchard",
            day=WINTER,
            subject_id="walnut",
            opening=0,
            person_id=who,
            birds=birds,
        )
        return {"label": label, "text": said.text(key)}

    shown = {
        "title": title,
        "body": "Shut by 16:33.",
        "navigate": f"{pages.base_url or pages.url}/",
        "tag": tag,
        "lang": "en",
        "dir": "auto",
        "silent": silent,
        "data": {
            "at": 1000 + number,
            "receipt": receipt,
            "loud": not silent,
            "link": f"{pages.base_url or pages.url}/",
            "answers": []
            if silent
            else [
                answer("all-in", "All 12 in, door shut", (12,)),
                answer("not-counted", "Shut, not counted", None),
            ],
            "says": {name: says(time="{time}") for name, says in every(PhoneSays).items()},
        },
    }
    return json.dumps({"web_push": 8030, "mutable": True, "notification": shown})


def base64url(octets: bytes) -> str:
    """As browsers write keys: without padding."""
    return urlsafe_b64encode(octets).decode().rstrip("=")
