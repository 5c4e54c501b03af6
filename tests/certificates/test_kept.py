"""The files of authority and leaf: whole, for their owner's eyes, drawn once."""

from __future__ import annotations

import stat
import threading
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from slipwright.certificates import Authority, CertificateFault, Hosts, Kept, check_given, sign_leaf
from slipwright.certificates.given import _is_for

NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
HOSTS = Hosts(("shed.home.arpa",), (ip_address("192.168.1.20"),))


@pytest.fixture
def kept(tmp_path: Path) -> Kept:
    return Kept(tmp_path / "certificates")


def test_keys_are_for_their_owner_only_and_nothing_else_is_left(kept: Kept) -> None:
    kept.ready(HOSTS, now=NOW)
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in kept.folder.iterdir()}
    assert modes == {"authority.pem": 0o600, "served.pem": 0o600, "garden-authority.crt": 0o644}
    assert stat.S_IMODE(kept.folder.stat().st_mode) == 0o700
    assert b"PRIVATE KEY" not in kept.public_file.read_bytes()


def test_the_next_start_takes_what_is_there(kept: Kept) -> None:
    first = kept.ready(HOSTS, now=NOW)
    again = kept.ready(HOSTS, now=NOW + timedelta(days=5))
    assert [one.certificate for one in again] == [one.certificate for one in first]


def test_two_that_start_at_once_take_one_authority(kept: Kept) -> None:
    start = threading.Barrier(6)
    found = []

    def begin() -> None:
        start.wait()
        found.append(kept.ready(HOSTS, now=NOW)[0].certificate.serial_number)

    threads = [threading.Thread(target=begin) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 6
    assert len(set(found)) == 1


def test_a_leaf_is_renewed_when_due_with_another_key_by_the_same_authority(kept: Kept) -> None:
    authority, leaf = kept.ready(HOSTS, now=NOW)
    assert kept.renew(now=NOW + timedelta(days=19)) is None
    renewed = kept.renew(now=NOW + timedelta(days=21))
    assert renewed is not None
    assert renewed.is_by(authority)
    assert renewed.hosts == HOSTS
    assert renewed.certificate.public_key() != leaf.certificate.public_key()
    assert renewed.certificate.not_valid_after_utc == NOW + timedelta(days=51)
    assert kept.served_file.read_bytes() == renewed.pem


def test_where_nothing_is_kept_there_is_nothing_to_renew(kept: Kept) -> None:
    assert kept.renew(now=NOW) is None
    assert not kept.folder.exists()


def test_a_damaged_leaf_is_signed_again_and_a_damaged_authority_told(kept: Kept) -> None:
    authority, _ = kept.ready(HOSTS, now=NOW)
    kept.served_file.write_bytes(b"torn")
    assert kept.ready(HOSTS, now=NOW)[1].is_by(authority)
    kept.authority_file.write_bytes(authority.public_pem)
    with pytest.raises(CertificateFault, match=r"authority\.pem holds no authority"):
        kept.ready(HOSTS, now=NOW)


def test_another_authority_is_drawn_only_when_asked_for(kept: Kept) -> None:
    first, _ = kept.ready(HOSTS, now=NOW)
    barn = Hosts(("barn.home.arpa",))
    with pytest.raises(CertificateFault, match="--new-authority"):
        kept.ready(barn, now=NOW)
    second, leaf = kept.ready(barn, now=NOW, is_new=True)
    assert second.certificate != first.certificate
    assert leaf.is_by(second)
    assert kept.public_file.read_bytes() == second.public_pem


# --- a certificate of one's own -----------------------------------------------------------------------


@pytest.fixture
def own(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate and key in two files, as another authority would give them."""
    leaf = sign_leaf(Authority.made(HOSTS, now=NOW), HOSTS, now=NOW)
    certificate, key = tmp_path / "own.crt", tmp_path / "own.key"
    certificate.write_bytes(leaf.certificate.public_bytes(Encoding.PEM))
    key.write_bytes(b"-----BEGIN PRIVATE" + leaf.pem.partition(b"-----BEGIN PRIVATE")[2])
    return certificate, key


def test_a_good_one_says_its_name_and_end(own: tuple[Path, Path]) -> None:
    assert check_given(*own, "", now=NOW) == ("shed.home.arpa", NOW + timedelta(days=30))
    assert check_given(*own, "shed.home.arpa", now=NOW)[0] == "shed.home.arpa"


@pytest.mark.parametrize(
    ("name", "days", "said"),
    [
        ("barn.home.arpa", 0, "own.crt: is for shed.home.arpa, not for barn.home.arpa"),
        ("", 30, "own.crt: ended on 2026-12-27"),
        ("", -2, "own.crt: holds from 2026-11-26 only"),
    ],
)
def test_a_bad_one_is_refused_and_says_why(own: tuple[Path, Path], name: str, days: int, said: str) -> None:
    with pytest.raises(CertificateFault, match=said):
        check_given(*own, name, now=NOW + timedelta(days=days))


def test_keys_that_will_not_do_are_told_apart(own: tuple[Path, Path]) -> None:
    certificate, file = own
    key = load_pem_private_key(file.read_bytes(), password=None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    locked = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, BestAvailableEncryption(b"wet hands"))
    older = key.private_bytes(Encoding.PEM, PrivateFormat.TraditionalOpenSSL, NoEncryption())
    other = ec.generate_private_key(ec.SECP256R1())
    another = other.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    for content, said in (
        (locked, "locked with a password"),
        (older, "must be PKCS #8"),
        (another, "is not the key of"),
        (b"no key", "holds no key"),
    ):
        file.write_bytes(content)
        with pytest.raises(CertificateFault, match=said):
            check_given(certificate, file, "", now=NOW)


def test_a_star_stands_for_one_part_of_a_name() -> None:
    assert _is_for("*.garden.example", "shed.garden.example")
    assert not _is_for("*.garden.example", "a.shed.garden.example")
    assert not _is_for("*.garden.example", "garden.example")


def test_a_file_that_is_no_certificate_is_told(own: tuple[Path, Path]) -> None:
    own[0].write_bytes(b"nothing")
    with pytest.raises(CertificateFault, match="holds no certificate in PEM"):
        check_given(*own, "", now=NOW)
