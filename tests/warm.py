"""Processes of the program that begin warm: forked from one that has imported everything.

Half of what a fault test costs is a process that imports the program, and half of what a test of
pages costs is the first page, whose templates are compiled for it. Each run of tests keeps one
process that has done both, and forks it; what is asked of the forked one is as if it had been
started by `python -m MODULE ARGUMENT`. A test of the start itself starts its process cold.
"""

import atexit
import gc
import json
import os
import pkgutil
import runpy
import select
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from types import CodeType
from typing import Any

_ROOT = Path(__file__).parents[1]
_LONGEST = 1 << 20  # bytes of one word to or from the warm process


class Forked:
    """A process that was forked warm, asked and signalled like a `subprocess.Popen`.

    `returncode` is its exit status, negative for a signal, or None while it runs.
    """

    def __init__(self, stock: "_Stock", pid: int) -> None:
        self._stock = stock
        self.pid = pid
        self.returncode: int | None = None

    def poll(self) -> int | None:
        """Its exit status as of now."""
        while self.returncode is None and self._stock.listen(0):
            pass
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """Its exit status, once it has ended.

        Raises:
            subprocess.TimeoutExpired: it runs on after so many seconds.
        """
        deadline = None if timeout is None else time.monotonic() + timeout
        while (status := self.returncode) is None:
            left_s = None if deadline is None else max(deadline - time.monotonic(), 0)
            if not self._stock.listen(left_s):
                raise subprocess.TimeoutExpired(f"process {self.pid}", timeout or 0)
        return status

    def send_signal(self, number: int) -> None:
        """Signals it; nothing where it has ended."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        """SIGKILL."""
        self.send_signal(signal.SIGKILL)


class _Stock:
    """The process that is forked, seen from the tests."""

    def __init__(self) -> None:
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "tests.warm", str(theirs.fileno())],
                cwd=_ROOT,
                env={"PATH": os.environ["PATH"], "PYTHONPATH": str(_ROOT)},
                pass_fds=(theirs.fileno(),),
            )
        self._line = ours
        self._begun: list[Forked] = []
        self._running: dict[int, Forked] = {}  # by a number that another may have later

    def fork(self, module: str, argument: str, environment: Mapping[str, str], log: int) -> Forked:
        """A process that runs the module; what it says goes to the file `log`."""
        asked = json.dumps({"module": module, "argument": argument, "environment": environment})
        socket.send_fds(self._line, [asked.encode()], [log])
        while not self._begun:
            self.listen(None)
        return self._begun.pop()

    def listen(self, timeout_s: float | None) -> bool:
        """Takes in the next word of it, if there is one in time."""
        if not select.select([self._line], [], [], timeout_s)[0]:
            return False
        word = json.loads(self._line.recv(_LONGEST) or b'{"lost": true}')
        assert "lost" not in word, "the warm process has ended"
        if "begun" in word:
            begun = self._running[word["begun"]] = Forked(self, word["begun"])
            self._begun.append(begun)
        else:
            self._running.pop(word["pid"]).returncode = word["status"]
        return True

    def end(self) -> None:
        """Lets it end, at the end of the tests."""
        self._line.close()
        self._process.wait()


@cache
def _stock() -> _Stock:
    stock = _Stock()
    atexit.register(stock.end)
    return stock


def start(module: str, argument: str, environment: Mapping[str, str], log: int) -> Forked:
    """A process as of `python -m MODULE ARGUMENT` with just this environment, begun warm."""
    return _stock().fork(module, argument, environment, log)


# -- in the warm process --------------------------------------------------------------------


def _warm() -> None:
    import scheduler  # noqa: PLC0415 - the tests' own process does not need all of it

    for found in pkgutil.walk_packages(scheduler.__path__, "scheduler."):
        if not found.name.endswith("__main__") and ".migrations." not in found.name:
            import_module(found.name)
    roots = ("tests.faults.root", "tests.web.root")
    for name in roots:
        import_module(name)
    for name in roots:
        del sys.modules[name]  # each is run as the main module
    _compile_templates()
    gc.collect()
    gc.freeze()


def _compile_templates() -> None:
    """Whoever serves pages from now on has their templates compiled, while they are unchanged."""
    from jinja2 import BytecodeCache, Environment  # noqa: PLC0415 - as above
    from jinja2.bccache import Bucket  # noqa: PLC0415 - as above

    from scheduler.web import render  # noqa: PLC0415 - as above

    class Compiled(BytecodeCache):
        def __init__(self) -> None:
            self._kept: dict[tuple[str, str], CodeType | None] = {}

        def load_bytecode(self, bucket: Bucket) -> None:
            bucket.code = self._kept.get((bucket.key, bucket.checksum))

        def dump_bytecode(self, bucket: Bucket) -> None:
            self._kept[bucket.key, bucket.checksum] = bucket.code

    compiled, made = Compiled(), []

    def environment(**settings: Any) -> Environment:
        made.append(Environment(**settings, bytecode_cache=compiled))  # noqa: S701 - as it is asked
        return made[-1]

    vars(render)["Environment"] = environment
    render.Renderer()
    for name in made[0].list_templates():
        made[0].get_template(name)


def _told_of_ends(line: socket.socket) -> None:
    """Tells of every process that has ended."""
    while True:
        try:
            pid, status = os.waitpid(-1, os.WNOHANG)
        except ChildProcessError:
            return
        if not pid:
            return
        said = {"pid": pid, "status": os.waitstatus_to_exitcode(status)}
        line.send(json.dumps(said).encode())


def _asked(line: socket.socket) -> dict[str, Any] | None:
    """In a forked process: what it is to be. In the warm one: None, at the end."""
    woken, wakes = socket.socketpair()
    wakes.setblocking(False)
    signal.set_wakeup_fd(wakes.fileno())
    signal.signal(signal.SIGCHLD, lambda *_: None)
    while True:
        ready, _, _ = select.select([line, woken], [], [])
        if woken in ready:
            woken.recv(4096)
            _told_of_ends(line)
        if line not in ready:
            continue
        word, files, _, _ = socket.recv_fds(line, _LONGEST, 1)
        if not word:
            return None
        asked: dict[str, Any] = json.loads(word)
        if pid := os.fork():
            for file in files:
                os.close(file)
            line.send(json.dumps({"begun": pid}).encode())
            continue
        signal.set_wakeup_fd(-1)
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        for one in (line, woken, wakes):
            one.close()
        for number in (1, 2):
            os.dup2(files[0], number)
        os.close(files[0])
        return asked


def main() -> None:
    """Imports everything, then forks for each word that comes, until the tests have ended."""
    line = socket.socket(fileno=int(sys.argv[1]))
    _warm()
    if asked := _asked(line):
        os.environ.clear()
        os.environ.update(asked["environment"])
        time.tzset()
        sys.argv = [asked["module"], asked["argument"]]
        runpy.run_module(asked["module"], run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    main()
