"""Keeps another process running beside this one: started again when it ends, ever more slowly."""

import logging
import os
import subprocess
import threading
import time
from collections.abc import Mapping, Sequence
from types import MappingProxyType

_FIRST_PAUSE_S = 1.0
_LONGEST_PAUSE_S = 30.0
_STEADY_AFTER_S = 60.0
_FAREWELL_S = 10.0
_NOTHING: Mapping[str, str] = MappingProxyType({})
_log = logging.getLogger(__name__)


class KeptRunning:
    """A child whose standard input ends with this process, so that it never outlives it."""

    def __init__(self, command: Sequence[str], told: Mapping[str, str] = _NOTHING) -> None:
        """Starts nothing yet; `told` are variables of its environment beside this process's own."""
        self._command = list(command)
        self._told = dict(told)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._keep, name="duskfold-beside", daemon=True)

    def start(self) -> None:
        """Starts it, unless it runs already."""
        if not self._thread.is_alive():
            self._thread.start()

    def stop(self) -> None:
        """Ends it, and waits until it has ended."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(_FAREWELL_S + 1.0)

    def _keep(self) -> None:
        pause_s = _FIRST_PAUSE_S
        while not self._stop.is_set():
            began_s = time.monotonic()
            try:
                status = self._run()
            except OSError as error:
                status = error.errno or -1
            if self._stop.is_set():
                return
            is_steady = time.monotonic() - began_s >= _STEADY_AFTER_S
            pause_s = _FIRST_PAUSE_S if is_steady else min(2 * pause_s, _LONGEST_PAUSE_S)
            _log.warning("beside.ended status=%d again_in_s=%.0f", status, pause_s)
            self._stop.wait(pause_s)

    def _run(self) -> int:
        """One life of the child: its status, or how it was ended by us.

        In a group of its own: what is pressed on our terminal ends us, and we end the child.
        """
        with subprocess.Popen(  # noqa: S603 - our own command
            self._command,
            stdin=subprocess.PIPE,
            process_group=0,
            env={**os.environ, **self._told},
        ) as child:
            while True:
                try:
                    return child.wait(0.5)
                except subprocess.TimeoutExpired:
                    if not self._stop.is_set():
                        continue
                child.terminate()
                try:
                    return child.wait(_FAREWELL_S)
                except subprocess.TimeoutExpired:
                    child.kill()
