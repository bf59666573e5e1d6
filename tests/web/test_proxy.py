"""The reverse proxy of deploy/nginx.conf, as it is shipped, before the real pages."""

import http.client
import shutil
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest
import trustme

from tests.faults.house import ROOT, household
from tests.unhurried import unhurried
from tests.web.front import Front, Reply, free_port, front, link_of

pytestmark = pytest.mark.debian

SHIPPED = ROOT / "deploy" / "nginx.conf"
NAME = "hens.example.org"  # as the shipped file has it


@dataclass
class Proxied:
    """The pages behind nginx, asked as a browser would over https."""

    pages: Front
    tls: ssl.SSLContext
    https_port: int
    http_port: int

    def ask(self, method: str, path: str, **headers: str) -> Reply:
        """One request over https."""
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        line = http.client.HTTPSConnection(
            "127.0.0.1", self.https_port, timeout=20, context=self.tls
        )
        with closing(line):
            line.request(method, path, headers={"Host": NAME, **named})
            answer = line.getresponse()
            got = {name.lower(): value for name, value in answer.getheaders()}
            return Reply(status=answer.status, headers=got, body=answer.read())


@pytest.fixture
def proxied(tmp_path: Path) -> Iterator[Proxied]:
    """Nginx with the shipped file; only ports, certificate and folders are this test's."""
    program = shutil.which("nginx", path="/usr/sbin:/usr/bin")
    if program is None:
        pytest.skip("nginx is not installed; apt-get install nginx-light")
    authority = trustme.CA()
    certificate = authority.issue_cert(NAME)
    certificate.private_key_pem.write_to_path(tmp_path / "key.pem")
    for number, blob in enumerate(certificate.cert_chain_pems):
        blob.write_to_path(tmp_path / "chain.pem", append=number > 0)
    with (
        household(tmp_path) as house,
        front(house, base_url=f"https://{NAME}", trusted='["127.0.0.1"]') as pages,
    ):
        http_port, https_port = free_port(), free_port()
        site = SHIPPED.read_text()
        for shipped, here in (
            ("listen 80;", f"listen 127.0.0.1:{http_port};"),
            ("listen [::]:80;", ""),
            ("listen 443 ssl;", f"listen 127.0.0.1:{https_port} ssl;"),
            ("listen [::]:443 ssl;", ""),
            (f"/etc/ssl/{NAME}/fullchain.pem", str(tmp_path / "chain.pem")),
            (f"/etc/ssl/{NAME}/privkey.pem", str(tmp_path / "key.pem")),
            ("http://127.0.0.1:8640", pages.url),
        ):
            assert shipped in site
            site = site.replace(shipped, here)  # each of them, where there are several
        (tmp_path / "site.conf").write_text(site)
        (tmp_path / "nginx.conf").write_text(
            f"daemon off; pid {tmp_path}/nginx.pid; error_log {tmp_path}/error.log;\n"
            f"events {{}}\nhttp {{ access_log {tmp_path}/access.log;\n"
            f"client_body_temp_path {tmp_path}/body; proxy_temp_path {tmp_path}/proxy;\n"
            f"fastcgi_temp_path {tmp_path}/f; uwsgi_temp_path {tmp_path}/u;\n"
            f"scgi_temp_path {tmp_path}/s; include {tmp_path}/site.conf; }}\n"
        )
        tls = ssl.create_default_context()
        authority.configure_trust(tls)
        tls.check_hostname = False  # it is asked by its number here
        process = subprocess.Popen([program, "-c", str(tmp_path / "nginx.conf")])
        behind = Proxied(pages, tls, https_port, http_port)
        try:
            wait(behind, process)
            yield behind
        finally:
            process.terminate()
            process.wait(20)


def wait(behind: Proxied, process: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + 20
    while time.monotonic() < deadline:
        assert process.poll() is None
        try:
            behind.ask("GET", "/robots.txt")
        except OSError:
            time.sleep(0.05)  # another process cannot notify this one
        else:
            return
    pytest.fail("nginx does not answer")


def test_signing_in_and_subscribing_through_the_shipped_proxy(
    proxied: Proxied, tmp_path: Path
) -> None:
    pages = proxied.pages
    link = pages.invitation("ana")
    came = proxied.ask("POST", link, Sec_Fetch_Site="same-origin", Content_Length="0")
    assert came.status == 303
    cookie = came.headers["set-cookie"]
    assert cookie.startswith("__Host-duskfold=")
    assert "secure" in cookie.lower()
    today = proxied.ask("GET", "/", Cookie=cookie.partition(";")[0])
    assert "Lock up at 16:18" in today.text
    assert today.headers["strict-transport-security"] == "max-age=31536000"

    path = pages.calendar()
    whole = proxied.ask("GET", path)
    assert whole.text.startswith("BEGIN:VCALENDAR")
    packed = proxied.ask("GET", path, Accept_Encoding="gzip")
    assert packed.headers["content-encoding"] == "gzip"
    assert proxied.ask("GET", path, If_None_Match=whole.headers["etag"]).status == 304

    # Some programs turn webcal:// into http: they are sent on, and nothing of it is logged.
    with closing(http.client.HTTPConnection("127.0.0.1", proxied.http_port, timeout=20)) as line:
        line.request("GET", path, headers={"Host": NAME})
        moved = line.getresponse()
        assert (moved.status, moved.getheader("location")) == (308, f"https://{NAME}{path}")
    written = [one.read_text() for one in (tmp_path / "access.log", tmp_path / "error.log")]
    assert path.split("/")[2] not in "".join(written)


def test_s5_what_goes_wrong_behind_the_proxy_leaves_no_token_in_a_log(
    proxied: Proxied, tmp_path: Path
) -> None:
    pages = proxied.pages
    calendar, tonight, evening = pages.calendar(), pages.tonight(), link_of(pages)
    assert proxied.ask("POST", evening, Content_Length="99999").status == 413
    moved = http.client.HTTPConnection("127.0.0.1", proxied.http_port, timeout=20)
    with closing(moved):
        moved.request("GET", calendar, headers={"Host": "evil.test"})
        assert moved.getresponse().getheader("location") == f"https://{NAME}{calendar}"
    pages.stop()
    paths = (calendar, tonight, evening, "/sign-in/" + "s" * 43)
    for path in paths:
        assert proxied.ask("GET", path).status == 502
    written = "".join(one.read_text() for one in tmp_path.glob("*.log"))
    for path in paths:
        for part in path.split("/"):
            assert len(part) < 40 or part not in written
    assert "/evening/" not in written


def test_s16_sign_in_and_evenings_are_tried_out_slowly_and_calendars_are_not(
    proxied: Proxied,
) -> None:
    link, calendar = link_of(proxied.pages), proxied.pages.calendar()
    statuses = [proxied.ask("GET", link).status for _ in range(75)]
    assert statuses[:60] == [200] * 60
    assert 429 in statuses[61:]
    assert {proxied.ask("GET", calendar).status for _ in range(75)} == {200}


@unhurried
def test_misses_are_counted_by_the_visitor_and_not_by_what_it_says(proxied: Proxied) -> None:
    unknown = f"/calendar/{'A' * 43}/x.ics"
    statuses = [
        proxied.ask("GET", unknown, X_Forwarded_For=f"203.0.113.{number}").status
        for number in range(25)
    ]
    assert statuses == [404] * 20 + [429] * 5
