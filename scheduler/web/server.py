"""Serves the pages until asked to stop: uvicorn, with deadlines on every connection."""

import logging
import os
import sys
import threading
from collections.abc import Sequence

import uvicorn
from starlette.types import ASGIApp

from scheduler.web.bounded_protocol import REQUEST_S, BoundedProtocol

_FAREWELL_S = 5


class Server(uvicorn.Server):
    """One process; asked to stop by SIGTERM, by SIGINT, or by `stop`."""

    def __init__(self, app: ASGIApp, listen: str, trusted_proxies: Sequence[str]) -> None:
        """Binds nothing yet."""
        host, _, port = listen.rpartition(":")
        super().__init__(
            uvicorn.Config(
                app,
                host=host.strip("[]"),
                port=int(port),
                http=BoundedProtocol,
                ws="none",
                lifespan="on",
                access_log=False,  # it would hold tokens
                log_config=None,
                server_header=False,
                proxy_headers=bool(trusted_proxies),
                forwarded_allow_ips=list(trusted_proxies),
                timeout_keep_alive=int(REQUEST_S),
                timeout_graceful_shutdown=_FAREWELL_S,
            )
        )
        logging.getLogger("uvicorn.error").setLevel(logging.ERROR)

    def stop(self) -> None:
        """Ends it; any thread may."""
        self.should_exit = True

    def stop_with_stdin(self) -> None:
        """Ends it when standard input ends: whoever started it is gone."""

        def wait() -> None:
            # Past Python's buffer: its lock would abort the process when it ends first.
            while os.read(sys.stdin.fileno(), 1024):
                pass
            self.stop()

        threading.Thread(target=wait, name="duskfold-stdin", daemon=True).start()
