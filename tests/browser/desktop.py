"""A desktop of a test's own, on a bus of its own: what it shows, and a press that a browser trusts.

A click that a script makes up wakes no worker and opens no window; one that comes over the
desktop's bus does (phone-push.md §4). The bus is Debian's dbus-daemon.
"""

import asyncio
import shutil
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from dbus_fast import Message, MessageType
from dbus_fast.aio import MessageBus

from tests.sinks.waiting import PATIENCE_S, Collected

# The interface of the Desktop Notifications Specification 1.2.
_NAME, _PATH = "org.freedesktop.Notifications", "/org/freedesktop/Notifications"
_CAPABILITIES = ["actions", "body", "persistence"]
_SERVER = ["test", "test", "1", "1.2"]


@dataclass(frozen=True, slots=True)
class Shown:
    """One message on the screen: its number there, its title, its buttons by their keys."""

    number: int
    title: str
    buttons: dict[str, str]


class Desktop:
    """What is `shown` on it, in order; one that takes the place of another has its number."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.shown: Collected[Shown] = Collected(threading.Condition())
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._loop.run_forever, daemon=True)
        self._bus: MessageBus | None = None

    def press(self, shown: Shown, label: str) -> None:
        """Presses the button of that label; "" is the message itself."""
        key = next((key for key, each in shown.buttons.items() if each == label), "default")
        said = Message.new_signal(_PATH, _NAME, "ActionInvoked", "us", [shown.number, key])
        assert self._bus
        self._loop.call_soon_threadsafe(self._bus.send, said)

    def begin(self) -> None:
        """Stands on the bus under the desktop's name."""
        self._thread.start()
        asyncio.run_coroutine_threadsafe(self._stand(), self._loop).result(PATIENCE_S)

    def end(self) -> None:
        """Leaves the bus."""
        asyncio.run_coroutine_threadsafe(self._leave(), self._loop).result(PATIENCE_S)
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join(PATIENCE_S)
        self._loop.close()

    async def _stand(self) -> None:
        self._bus = await MessageBus(bus_address=self.address).connect()
        self._bus.add_message_handler(self._answer)
        await self._bus.request_name(_NAME)

    async def _leave(self) -> None:
        if self._bus:
            self._bus.disconnect()
            await self._bus.wait_for_disconnect()  # type: ignore[no-untyped-call] # of dbus-fast

    def _answer(self, asked: Message) -> Message | None:
        if asked.message_type is not MessageType.METHOD_CALL or asked.interface != _NAME:
            return None
        match asked.member:
            case "GetCapabilities":
                return Message.new_method_return(asked, "as", [_CAPABILITIES])
            case "GetServerInformation":
                return Message.new_method_return(asked, "ssss", _SERVER)
            case "Notify":
                _, old, _, title, _, actions, *_ = asked.body
                number = old or len(self.shown.all()) + 1
                buttons = dict(zip(actions[::2], actions[1::2], strict=True))
                self.shown.add(Shown(number, title, buttons))
                return Message.new_method_return(asked, "u", [number])
        return Message.new_method_return(asked)


@contextmanager
def desktop(folder: Path) -> Iterator[Desktop]:
    """A desktop whose bus no other program knows."""
    program = shutil.which("dbus-daemon")
    if program is None:
        pytest.skip("dbus-daemon is not installed")
    address = f"unix:path={folder / 'bus'}"
    command = [program, "--session", "--nofork", "--print-address", f"--address={address}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as bus:
        assert bus.stdout is not None
        bus.stdout.readline()  # it is there
        made = Desktop(address)
        made.begin()
        try:
            yield made
        finally:
            made.end()
            bus.terminate()
