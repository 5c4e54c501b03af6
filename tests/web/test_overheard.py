"""Where others can read along nobody governs, changes the garden, takes it away or types a password."""

from __future__ import annotations

import re
import ssl
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest
from django.test import Client, RequestFactory, override_settings
from django.urls import URLPattern

from slipwright.certificates import Authority, Hosts
from slipwright.records import roles
from slipwright.records.errors import NotAllowed, Overheard
from slipwright.records.models import Garden, Member, User
from slipwright.web.membership import is_overheard
from slipwright.web.urls import urlpatterns

NAME = "shed.home.arpa"
LAN = {"HTTP_HOST": NAME, "REMOTE_ADDR": "192.168.1.30"}
PASSWORD = "heel and mallet 7"


@pytest.fixture(autouse=True)
def _named() -> Iterator[None]:
    """Let the pages answer to a name of the network, and hash passwords quickly."""
    hashers = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    with override_settings(ALLOWED_HOSTS=["127.0.0.1", "localhost", "[::1]", NAME], PASSWORD_HASHERS=hashers):
        yield


@pytest.fixture
def owner_on_lan(garden: Garden, owner: Member, as_member: Callable[[Member], Client]) -> Client:
    """Give an owner whose session a phone on the network somehow has."""
    return as_member(owner)


@pytest.mark.parametrize(
    ("host", "address", "secure", "heard"),
    [
        ("127.0.0.1:8000", "127.0.0.1", False, False),
        ("localhost", "127.0.0.1", False, False),
        ("[::1]:8000", "::1", False, False),
        (NAME, "192.168.1.30", True, False),
        (NAME, "192.168.1.30", False, True),
        # a server in front, or a name that leads back here: the browser's line may be open
        (NAME, "127.0.0.1", False, True),
        # a host that was made up
        ("127.0.0.1", "192.168.1.30", False, True),
        ("localhost", "", False, True),
    ],
)
def test_a_line_is_private_by_https_or_on_the_machine_itself(
    host: str, address: str, secure: bool, heard: bool
) -> None:
    asked = RequestFactory().get("/", secure=secure, HTTP_HOST=host, REMOTE_ADDR=address)
    assert is_overheard(asked) is heard


HERE = {"HTTP_HOST": "127.0.0.1:8000", "REMOTE_ADDR": "127.0.0.1"}


@pytest.mark.parametrize(
    "said",
    [
        {"HTTP_X_FORWARDED_FOR": "203.0.113.5"},
        {"HTTP_X_FORWARDED_PROTO": "http"},
        {"HTTP_X_FORWARDED_HOST": "garden.example"},
        {"HTTP_FORWARDED": "for=203.0.113.5"},
        {"HTTP_X_REAL_IP": "203.0.113.5"},
        {"HTTP_VIA": "1.1 front"},
    ],
)
def test_what_a_server_in_front_passes_on_is_not_of_this_machine(said: dict[str, str]) -> None:
    assert is_overheard(RequestFactory().get("/", **HERE, **said))  # type: ignore[arg-type]
    assert not is_overheard(RequestFactory().get("/", **HERE))  # type: ignore[arg-type]


def test_behind_servers_of_ones_own_only_https_is_private() -> None:
    tls = ("HTTP_X_FORWARDED_PROTO", "https")
    with override_settings(PROXIES=1, SECURE_PROXY_SSL_HEADER=tls):
        assert is_overheard(RequestFactory().get("/", **HERE))  # type: ignore[arg-type]
        assert not is_overheard(RequestFactory().get("/", **HERE, HTTP_X_FORWARDED_PROTO="https"))  # type: ignore[arg-type]


def test_every_page_says_so_and_why_nothing_is_kept_offline(owner_on_lan: Client) -> None:
    told = owner_on_lan.get("/", **LAN).content.decode()
    assert 'class="banner overheard' in told
    assert "nothing is kept on this device without signal" in told
    assert '<section aria-label="Who can read along"><details class="banner overheard' in told
    assert "overheard" not in owner_on_lan.get("/").content.decode()
    assert "overheard" not in owner_on_lan.get("/", secure=True, HTTP_HOST=NAME).content.decode()


def test_what_an_owner_or_grower_does_is_refused_there(owner_on_lan: Client) -> None:
    assert owner_on_lan.get("/rows/plants/new").status_code == 200
    for act, address in ((owner_on_lan.get, "/rows/plants/new"), (owner_on_lan.post, "/garden/tables.zip")):
        refused = act(address, **LAN)
        assert refused.status_code == 403, address
        assert "Anybody near could read along here" in refused.content.decode()
    assert owner_on_lan.post("/password", {"password": "a new one, long"}, **LAN).status_code == 403


def test_nothing_refused_is_offered(owner_on_lan: Client) -> None:
    assert "/rows/plants/new" in owner_on_lan.get("/plants").content.decode()
    assert "/rows/plants/new" not in owner_on_lan.get("/plants", **LAN).content.decode()


def test_reading_and_recording_go_on(owner_on_lan: Client) -> None:
    for address in ("/", "/batches", "/stick", "/plants"):
        assert owner_on_lan.get(address, **LAN).status_code == 200, address


@pytest.mark.parametrize("role", ["owner", "grower", "volunteer", "reader"])
def test_the_rule_holds_below_the_pages_too(garden: Garden, owner: Member, role: str) -> None:
    owner.role = role
    before = {act for act in roles.ACTS if roles.may(owner, act)}
    owner.is_overheard = True
    after = {act for act in roles.ACTS if roles.may(owner, act)}
    assert after == before - {roles.EDIT, roles.SETTLE, roles.GOVERN}
    for act in roles.NOT_OVERHEARD:
        with pytest.raises(NotAllowed) as refused:
            roles.require(owner, act, garden)
        assert isinstance(refused.value, Overheard) is (act in before)


def test_no_password_is_asked_for_or_taken(garden: Garden, owner: Member) -> None:
    owner.user = User.objects.create_user("orla", password=PASSWORD)
    owner.save()
    stranger = Client()
    shown = stranger.get("/sign-in", **LAN).content.decode()
    assert 'type="password"' not in shown
    typed = {"username": "orla", "password": PASSWORD}
    assert stranger.post("/sign-in", typed, **LAN).status_code == 403
    assert "_auth_user_id" not in stranger.session
    assert stranger.post("/sign-in", typed, secure=True, HTTP_HOST=NAME).status_code == 302


def test_what_takes_a_password_or_gives_the_garden_away_is_private() -> None:
    views = {one.name: one.callback for one in urlpatterns if isinstance(one, URLPattern)}
    private = {name for name, view in views.items() if view.is_private or view.access in roles.NOT_OVERHEARD}
    assert private >= {"set-up", "let-in", "password", "tables"}


def test_a_session_that_began_there_is_good_there_only(owner_on_lan: Client) -> None:
    assert owner_on_lan.get("/batches", **LAN).status_code == 200
    assert owner_on_lan.get("/batches", **LAN).status_code == 200
    elsewhere = owner_on_lan.get("/batches", secure=True, HTTP_HOST=NAME)
    assert elsewhere.status_code == 302
    assert elsewhere["Location"].startswith("/sign-in")


def test_a_program_is_told_in_json(owner_on_lan: Client) -> None:
    refused = owner_on_lan.get("/rows/plants/new", HTTP_ACCEPT="application/json", **LAN)
    assert (refused.status_code, refused.json()["error"]) == (403, "not-allowed")


# --- the page that hands out the authority ------------------------------------------------------------


@pytest.fixture
def authority_file(tmp_path: Path) -> Iterator[Path]:
    file = tmp_path / "garden-authority.crt"
    file.write_bytes(Authority.made(Hosts((NAME,)), now=datetime.now(UTC)).public_pem)
    with override_settings(AUTHORITY_FILE=str(file), PAGES_AT=f"https://{NAME}:8000/"):
        yield file


def test_a_stranger_fetches_the_authority_and_what_to_compare(garden: Garden, authority_file: Path) -> None:
    stranger = Client()
    page = stranger.get("/trust", **LAN).content.decode()
    given = stranger.get("/trust/garden-authority.crt", **LAN)
    assert given["Content-Type"] == "application/x-x509-ca-cert"
    assert given.content == ssl.PEM_cert_to_DER_cert(authority_file.read_text())
    signs = "".join(re.findall(r"<span>([0-9A-F]{4})</span>", page))
    assert signs == sha256(given.content).hexdigest().upper()
    assert NAME in page
    assert f'href="https://{NAME}:8000/"' in page
    assert page.count("<svg") >= 4


def test_without_an_authority_there_is_no_such_page(garden: Garden) -> None:
    assert Client(HTTP_HOST="127.0.0.1").get("/trust").status_code == 404


def test_beside_https_nothing_else_is_served_without_it(authority_file: Path, garden: Garden) -> None:
    only = {"ROOT_URLCONF": "slipwright.config.only_trust"}
    with override_settings(**only):
        stranger = Client()
        assert stranger.get("/trust", **LAN).status_code == 200
        for address in ("/", "/sign-in", "/set-up", "/sync", "/garden"):
            assert stranger.get(address, **LAN).status_code == 404, address
