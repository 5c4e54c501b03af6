"""A phone that trusts the garden's authority, one that does not, and the same without https."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from playwright.sync_api import BrowserContext, Error, Page, Playwright, expect

from slipwright.certificates import Kept
from tests.browser.served import PATIENCE_S, Served, environment, serving
from tests.browser.test_axe import AXE, TAGS

NAME, BARN = "shed.home.arpa", "barn.home.arpa"


@dataclass(frozen=True)
class Network:
    """A garden served to a network that is this machine alone, and where its certificates are."""

    served: Served
    kept: Kept

    @property
    def port(self) -> int:
        """Where the pages are."""
        return int(self.served.address.rpartition(":")[2])


@contextmanager
def on_a_network(file: Path, folder: Path, *more: str) -> Iterator[Network]:
    """Serve a copy of a garden as ``--lan`` does, under a name that only the browser is told of."""
    shutil.copyfile(file, folder / "garden.sqlite3")
    words = ("--lan", "--name", NAME, "--address", "127.0.0.1", *more)
    with serving(folder, *words) as served:
        yield Network(served, Kept(folder / "certificates"))


@pytest.fixture(scope="module")
def https(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Network]:
    """Give the demonstration garden over https."""
    with on_a_network(demo_file, tmp_path_factory.mktemp("https"), "--tls") as network:
        yield network


@pytest.fixture(scope="module")
def http(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Network]:
    """Give the demonstration garden without it."""
    with on_a_network(demo_file, tmp_path_factory.mktemp("http")) as network:
        yield network


@pytest.fixture
def own_phone(playwright: Playwright, tmp_path: Path) -> Iterator[Callable[[Path | None], BrowserContext]]:
    """Give a function that makes a phone of its own home, which trusts an authority or none."""
    phones: list[BrowserContext] = []

    def made(authority: Path | None) -> BrowserContext:
        home = tmp_path / f"home-{len(phones)}"
        store = home / ".pki" / "nssdb"
        store.mkdir(parents=True)
        _certutil("-N", "--empty-password", "-d", f"sql:{store}")
        if authority:
            _certutil("-A", "-d", f"sql:{store}", "-n", "garden", "-t", "C,,", "-i", str(authority))
        chromium = shutil.which("chromium")
        assert chromium, "chromium is missing: on Debian, apt install chromium"
        phone = playwright.chromium.launch_persistent_context(
            home / "profile",
            executable_path=chromium,
            env={**os.environ, "HOME": str(home), "XDG_DATA_HOME": str(home / ".local" / "share")},
            args=["--no-sandbox", "--host-resolver-rules=MAP *.home.arpa 127.0.0.1"],
            viewport={"width": 390, "height": 844},
            bypass_csp=True,
        )
        phone.set_default_timeout(15_000)
        phones.append(phone)
        return phone

    yield made
    for phone in phones:
        phone.close()


def _certutil(*words: str) -> None:
    program = shutil.which("certutil")
    if program is None:
        said = "certutil is missing: on Debian, apt install libnss3-tools (ALLOW_SKIP=1 skips)"
        pytest.skip(said) if os.environ.get("ALLOW_SKIP") == "1" else pytest.fail(said)
    subprocess.run([program, *words], check=True, capture_output=True)


def come_in(page: Page, network: Network) -> None:
    page.goto(f"https://{NAME}:{network.port}/let-in/{network.served.sign_in_code()}")
    page.get_by_role("button", name="Come in").click()
    expect(page).to_have_url(f"https://{NAME}:{network.port}/")


def test_a_phone_that_trusts_it_is_safe_and_may_keep_records(
    https: Network, own_phone: Callable[[Path | None], BrowserContext]
) -> None:
    phone = own_phone(https.kept.public_file)
    page = phone.new_page()
    come_in(page, https)
    assert page.evaluate("isSecureContext") is True
    assert page.evaluate("typeof crypto.randomUUID") == "function"
    expect(page.locator(".overheard")).to_have_count(0)
    # a worker comes up, and a page that was opened is there without the server
    assert page.evaluate("navigator.serviceWorker.ready.then((found) => found.scope)") == (
        f"https://{NAME}:{https.port}/"
    )
    cookies = {cookie["name"].rpartition("-")[0]: cookie for cookie in phone.cookies()}
    assert set(cookies) >= {"__Host-session", "__Host-csrf"}
    assert all(cookie["secure"] and cookie["httpOnly"] for cookie in cookies.values())
    assert page.goto(f"https://127.0.0.1:{https.port}/sign-in").ok  # type: ignore[union-attr]


def test_a_phone_that_does_not_trust_it_yet_is_shown_how_without_https(
    https: Network, own_phone: Callable[[Path | None], BrowserContext]
) -> None:
    phone = own_phone(None)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        phone.new_page().goto(f"https://{NAME}:{https.port}/")
    page = phone.new_page()
    page.goto(f"http://127.0.0.1:{https.port + 1}/trust")
    signs = page.locator(".fingerprint").inner_text().split()
    assert " ".join(signs) in https.served.said.read_text()
    with page.expect_download() as fetched:
        page.get_by_role("link", name="Fetch it").click()
    fetched_file = Path(fetched.value.path())
    given = x509.load_der_x509_certificate(fetched_file.read_bytes())
    assert given == https.kept.authority().certificate
    assert findings(page) == []


def findings(page: Page) -> list[str]:
    """Return what axe-core finds on a page at its narrowest, light and dark, and whether it is too wide."""
    found: list[str] = []
    page.set_viewport_size({"width": 320, "height": 844})
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)  # type: ignore[arg-type]
        page.evaluate(AXE.read_text(encoding="utf-8"))
        ran = "tags => axe.run(document, {runOnly: tags}).then(r => r.violations.map(v => v.id))"
        found += [f"{theme}: {name}" for name in page.evaluate(ran, TAGS)]
    if page.evaluate("document.documentElement.scrollWidth") > 320:
        found.append("too wide")
    return found


def test_with_the_stolen_key_another_host_is_refused_all_the_same(
    https: Network, own_phone: Callable[[Path | None], BrowserContext], tmp_path: Path
) -> None:
    with stolen(https.kept, tmp_path) as port:
        page = own_phone(https.kept.public_file).new_page()
        # the same thief is believed as the garden itself: it is the host that is refused
        assert page.goto(f"https://{NAME}:{port}/").ok  # type: ignore[union-attr]
        with pytest.raises(Error, match="ERR_CERT"):
            page.goto(f"https://{BARN}:{port}/")


@contextmanager
def stolen(kept: Kept, folder: Path) -> Iterator[int]:
    """Serve with a certificate for two hosts, each its own, signed by the garden's own key."""
    import ssl
    import threading
    from http.server import BaseHTTPRequestHandler, HTTPServer

    authority = kept.authority()
    now = datetime.now(UTC)
    contexts = {}
    for name in (NAME, BARN):
        key = ec.generate_private_key(ec.SECP256R1())
        begun = x509.CertificateBuilder().subject_name(x509.Name([])).public_key(key.public_key())
        begun = begun.issuer_name(authority.certificate.subject).serial_number(x509.random_serial_number())
        begun = begun.not_valid_before(now.replace(hour=0)).not_valid_after(now.replace(year=now.year + 1))
        begun = begun.add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=True)
        uses = x509.ExtendedKeyUsage([x509.oid.ExtendedKeyUsageOID.SERVER_AUTH])
        signed = begun.add_extension(uses, critical=False).sign(authority.key, SHA256())
        file = folder / f"{name}.pem"
        secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
        file.write_bytes(signed.public_bytes(Encoding.PEM) + secret)
        contexts[name] = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        contexts[name].load_cert_chain(file)

    class Here(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Length", "4")
            self.end_headers()
            self.wfile.write(b"here")

        def log_message(self, *words: object) -> None:
            pass

    def choose(line: ssl.SSLObject, name: str | None, context: ssl.SSLContext) -> None:
        line.context = contexts[name or NAME]

    contexts[NAME].sni_callback = choose  # type: ignore[assignment]
    server = HTTPServer(("127.0.0.1", 0), Here)
    server.socket = contexts[NAME].wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield int(server.server_port)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_without_https_pages_say_so_and_nothing_is_kept(
    http: Network, own_phone: Callable[[Path | None], BrowserContext]
) -> None:
    page = own_phone(None).new_page()
    page.goto(f"http://{NAME}:{http.port}/sign-in")
    expect(page.locator(".overheard")).to_contain_text("nothing is kept on this device without signal")
    assert page.evaluate("isSecureContext") is False
    assert page.evaluate("'serviceWorker' in navigator") is False
    expect(page.locator("input[type=password]")).to_have_count(0)
    assert findings(page) == []
    assert page.goto(f"http://{NAME}:{http.port}/let-in/{http.served.sign_in_code()}").status == 403  # type: ignore[union-attr]
    assert page.goto(f"http://{NAME}:{http.port}/set-up").status == 403  # type: ignore[union-attr]


def test_an_owner_there_reads_and_records_but_changes_nothing(
    http: Network, own_phone: Callable[[Path | None], BrowserContext]
) -> None:
    phone = own_phone(None)
    phone.add_cookies([{"name": _cookie(http), "value": _session(http), "url": f"http://{NAME}:{http.port}"}])
    page = phone.new_page()
    assert page.goto(f"http://{NAME}:{http.port}/stick").ok  # type: ignore[union-attr]
    expect(page.locator(".overheard")).to_be_visible()
    refused = page.goto(f"http://{NAME}:{http.port}/rows/plants/new")
    assert refused is not None
    assert refused.status == 403
    expect(page.get_by_role("heading", level=1)).to_contain_text("Not over this line")


def _in_the_garden(network: Network, script: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", f"import django; django.setup()\n{script}"],
        env=environment(network.served.folder),
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def _cookie(network: Network) -> str:
    return _in_the_garden(network, "from django.conf import settings; print(settings.SESSION_COOKIE_NAME)")


def _session(network: Network) -> str:
    """Make a session of the owner, as a phone that was let in would have."""
    return _in_the_garden(
        network,
        "from django.contrib.sessions.backends.db import SessionStore\n"
        "from slipwright.records.models import Member\n"
        "user = Member.objects.exclude(user=None).filter(role='owner').get().user\n"
        "store = SessionStore()\n"
        "store['_auth_user_id'] = str(user.pk)\n"
        "store['_auth_user_backend'] = 'slipwright.records.signing_in.MemberBackend'\n"
        "store['_auth_user_hash'] = user.get_session_auth_hash()\n"
        "store.save()\n"
        "print(store.session_key)",
    )


def test_the_port_beside_is_the_page_of_the_authority_and_nothing_else(https: Network) -> None:
    with socket.create_connection(("127.0.0.1", https.port + 1), timeout=10) as line:
        line.sendall(b"GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
        assert line.recv(100).startswith(b"HTTP/1.1 404")
