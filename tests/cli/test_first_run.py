"""`duskfold serve` where there is no profile: what it prints, and what becomes of it."""

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest

from scheduler.machine.home_address import home_address, url_for_phones
from scheduler.service.first_run.so_far import SoFar, write_so_far
from tests.faults.house import ROOT
from tests.unhurried import unhurried
from tests.web.first_house import STEPS
from tests.web.front import free_port

PATIENCE_S = 20.0


class Serve:
    """A `duskfold serve` without a profile, as somebody types it."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.data = folder / "data"
        self.port = free_port()
        self._said = folder / "said.txt"
        environment = {
            **{name: value for name, value in os.environ.items() if "DUSKFOLD" not in name},
            "PYTHONPATH": str(ROOT),
            "HOME": str(folder),
            "XDG_CONFIG_HOME": str(folder),
            "DUSKFOLD_LISTEN": f"127.0.0.1:{self.port}",
        }
        with self._said.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "scheduler", "serve", "--data", str(self.data), *options],
                cwd=folder,
                env=environment,
                stdout=out,
                stderr=subprocess.STDOUT,
            )

    @property
    def said(self) -> str:
        return self._said.read_text()

    def waits(self, until: Callable[[], object]) -> None:
        """Waits until that is so."""
        deadline = time.monotonic() + PATIENCE_S
        while not until():
            assert time.monotonic() < deadline, self.said
            time.sleep(0.05)  # another process cannot notify this one

    def address(self) -> str:
        self.waits(lambda: "Ctrl-C" in self.said)
        [found] = re.findall(r"http://\S+", self.said)
        return str(found)

    def stop(self) -> int:
        self.process.send_signal(signal.SIGINT)
        try:
            return self.process.wait(PATIENCE_S)
        finally:
            self.process.kill()
            self.process.wait()


def test_it_prints_one_address_with_a_key_its_code_and_what_to_know(tmp_path: Path) -> None:
    serve = Serve(tmp_path)
    try:
        address = serve.address()
    finally:
        status = serve.stop()
    assert status == 0
    assert re.fullmatch(rf"http://127\.0\.0\.1:{serve.port}/begin/with/[-\w]{{24}}", address)
    assert "\N{FULL BLOCK}" in serve.said
    assert "works once" in serve.said
    assert "DUSKFOLD_LISTEN" in serve.said
    assert not (serve.data / "duskfold.toml").exists()


def test_a_profile_that_is_named_and_missing_stays_an_error(tmp_path: Path) -> None:
    serve = Serve(tmp_path, "--profile", "missing.toml")
    assert serve.process.wait(PATIENCE_S) == 2
    assert "missing.toml" in serve.said
    assert "http://" not in serve.said


def test_a_phone_is_given_the_address_on_the_home_network() -> None:
    assert home_address()
    assert not home_address().startswith("127.")
    assert url_for_phones("0.0.0.0:8640") == f"http://{home_address()}:8640"
    assert url_for_phones("127.0.0.1:9000") == "http://127.0.0.1:9000"


@unhurried
def test_started_again_it_has_a_new_key_and_the_answers_and_goes_on_to_remind(
    tmp_path: Path,
) -> None:
    first = Serve(tmp_path)
    before = first.address()
    first.process.kill()
    first.process.wait(PATIENCE_S)
    place = {"typed": "51.5, -0.1", "latitude": "51.5", "longitude": "-0.1"}
    write_so_far(first.data, SoFar(steps={**STEPS, "place": place}))
    again = Serve(tmp_path)
    try:
        address = again.address()
        assert address.rpartition("/")[2] != before.rpartition("/")[2]
        again.waits(lambda: _answers(again.port))
        assert _post(address) == (303, "/begin/look-over")
        assert _post(address, "/begin/keep") == (303, "/begun")
        again.waits((again.data / "health.json").exists)
    finally:
        assert again.stop() == 0


_cookies: dict[str, str] = {}


def _post(address: str, path: str = "") -> tuple[int, str]:
    """A form without fields, and where it leads."""
    parts = urlsplit(address)
    line = HTTPConnection(parts.netloc, timeout=PATIENCE_S)
    headers = {"Origin": f"http://{parts.netloc}", "Cookie": "; ".join(_cookies.values())}
    headers["Content-Type"] = "application/x-www-form-urlencoded"
    line.request("POST", path or parts.path, urlencode({}), headers)
    answer = line.getresponse()
    for name, value in answer.getheaders():
        if name.lower() == "set-cookie":
            _cookies[value.partition("=")[0]] = value.partition(";")[0]
    line.close()
    return answer.status, answer.getheader("location", "") or ""


def _answers(port: int) -> bool:
    line = HTTPConnection("127.0.0.1", port, timeout=1)
    try:
        line.request("GET", "/robots.txt")
        return line.getresponse().status == 200
    except OSError:
        return False
    finally:
        line.close()


@pytest.mark.parametrize("listen", ["nonsense", "127.0.0.1"])
@unhurried
def test_where_nothing_can_listen_is_said_at_once(tmp_path: Path, listen: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", "serve", "--data", str(tmp_path / "data")],
        cwd=tmp_path,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "HOME": str(tmp_path),
            "DUSKFOLD_LISTEN": listen,
        },
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert "DUSKFOLD_LISTEN" in done.stderr
