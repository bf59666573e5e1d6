"""Caddy with deploy/Caddyfile and deploy/Caddyfile.home, as shipped, before the real pages."""

import http.client
import os
import shutil
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.faults.house import ROOT, household
from tests.web.front import Front, Reply, free_port, front

pytestmark = pytest.mark.debian

NAME = "hens.example.org"
PATIENCE_S = 30


class Https(http.client.HTTPSConnection):
    """A connection to this machine, where the name is expected."""

    def connect(self) -> None:
        line = socket.create_connection(("127.0.0.1", self.port), self.timeout)
        self.sock = self.tls.wrap_socket(line, server_hostname=self.host)

    tls: ssl.SSLContext


@dataclass
class Proxied:
    """The pages behind Caddy; `log` is everything that it said."""

    pages: Front
    authority: Path
    https_port: int
    http_port: int
    log: Path

    def ask(self, method: str, path: str, **headers: str) -> Reply:
        """One request over https, by somebody who trusts the authority."""
        line = Https(NAME, self.https_port, timeout=20)
        line.tls = ssl.create_default_context(cafile=str(self.authority / "root.crt"))
        return _reply(line, method, path, headers)

    def ask_unencrypted(self, path: str) -> Reply:
        """One request over http."""
        line = http.client.HTTPConnection("127.0.0.1", self.http_port, timeout=20)
        return _reply(line, "GET", path, {"Host": NAME})


def _reply(
    line: http.client.HTTPConnection, method: str, path: str, headers: dict[str, str]
) -> Reply:
    with closing(line):
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        line.request(method, path, headers=named)
        answer = line.getresponse()
        got = {name.lower(): value for name, value in answer.getheaders()}
        return Reply(status=answer.status, headers=got, body=answer.read())


@pytest.fixture(params=["Caddyfile", "Caddyfile.home"])
def proxied(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Proxied]:
    """Caddy with the shipped file; ports, folders and authority are this test's."""
    program = shutil.which("caddy")
    if program is None:
        pytest.skip("caddy is not installed; apt-get install caddy")
    with (
        household(tmp_path) as house,
        front(house, base_url=f"https://{NAME}", trusted='["127.0.0.1"]') as pages,
    ):
        http_port, https_port = free_port(), free_port()
        shipped = (ROOT / "deploy" / request.param).read_text(encoding="utf-8")
        assert "\tadmin off\n" in shipped
        # Nobody outside is asked for a certificate, and this machine trusts nothing new.
        here = f"http_port {http_port}\nhttps_port {https_port}\nlocal_certs\nskip_install_trust\n"
        file, log = tmp_path / "Caddyfile", tmp_path / "caddy.log"
        file.write_text(
            shipped.replace("\tskip_install_trust\n", "").replace(
                "\tadmin off\n", f"admin off\n{here}"
            )
        )
        authority = tmp_path / "kept" / "caddy" / "pki" / "authorities" / "local"
        told = {
            "XDG_DATA_HOME": str(tmp_path / "kept"),
            "XDG_CONFIG_HOME": str(tmp_path / "set"),
            "DUSKFOLD_NAME": NAME,
            "DUSKFOLD_PAGES": f"127.0.0.1:{pages.port}",
            "DUSKFOLD_AUTHORITY": str(authority),
        }
        with log.open("wb") as said:
            process = subprocess.Popen(
                [program, "run", "--adapter", "caddyfile", "--config", str(file)],
                env={"PATH": os.environ["PATH"], "HOME": str(tmp_path), **told},
                stdout=said, stderr=said,
            )  # fmt: skip
        behind = Proxied(pages, authority, https_port, http_port, log)
        try:
            _wait(behind, process)
            yield behind
        finally:
            process.terminate()
            process.wait(PATIENCE_S)


def _wait(behind: Proxied, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        assert process.poll() is None, behind.log.read_text()
        try:
            behind.ask("GET", "/robots.txt")
        except OSError:
            time.sleep(0.05)  # another process cannot notify this one
        else:
            return
    pytest.fail(behind.log.read_text())


def test_signing_in_and_subscribing_through_caddy(proxied: Proxied) -> None:
    pages = proxied.pages
    link = pages.invitation("ana")
    came = proxied.ask("POST", link, Sec_Fetch_Site="same-origin", Content_Length="0")
    assert came.status == 303
    cookie = came.headers["set-cookie"]
    assert cookie.startswith("__Host-duskfold=")
    today = proxied.ask("GET", "/", Cookie=cookie.partition(";")[0])
    assert "Lock up at 16:18" in today.text
    assert "content-security-policy" in today.headers
    path = pages.calendar()
    whole = proxied.ask("GET", path)
    assert whole.text.startswith("BEGIN:VCALENDAR")
    assert proxied.ask("GET", path, If_None_Match=whole.headers["etag"]).status == 304
    moved = proxied.ask_unencrypted(path)
    assert moved.status == 308
    assert (
        moved.headers["location"].replace(f":{proxied.https_port}", "") == f"https://{NAME}{path}"
    )


def test_s5_what_goes_wrong_behind_caddy_leaves_no_token_in_its_log(proxied: Proxied) -> None:
    path = proxied.pages.calendar()
    assert proxied.ask("GET", path).status == 200
    proxied.pages.stop()
    assert proxied.ask("GET", path).status == 502
    assert path.split("/")[2] not in proxied.log.read_text()


@pytest.mark.parametrize("proxied", ["Caddyfile.home"], indirect=True)
def test_at_home_a_phone_gets_the_authority_and_not_its_key(proxied: Proxied) -> None:
    given = proxied.ask_unencrypted("/authority.crt")
    assert given.body == (proxied.authority / "root.crt").read_bytes()
    assert given.headers["content-type"] == "application/x-x509-ca-cert"
    assert (proxied.authority / "root.key").is_file()
    for path in ("/root.key", "/authority.crt/../root.key", "/authority.key"):
        assert proxied.ask_unencrypted(path).status == 308
        assert proxied.ask("GET", path).status == 404
