"""The garden's own authority speaks for the garden's hosts and for nobody else, as others judge it too."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Network, IPv6Network, ip_address
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from slipwright.certificates import Authority, CertificateFault, Hosts, Leaf, PublicAuthority, sign_leaf
from slipwright.certificates.authority import LEAF_LASTS, LEAF_LEAST

NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
HOSTS = Hosts(("shed.home.arpa",), (ip_address("192.168.1.20"),))


@pytest.fixture(scope="module")
def authority() -> Authority:
    return Authority.made(HOSTS, now=NOW)


def accepts(authority: Authority, leaf: x509.Certificate, host: str, *between: x509.Certificate) -> bool:
    """Ask whether a program that trusts the authority takes a certificate for a host."""
    try:
        subject: x509.GeneralName = x509.IPAddress(ip_address(host))
    except ValueError:
        subject = x509.DNSName(host)
    verifier = PolicyBuilder().store(Store([authority.certificate])).time(NOW).build_server_verifier(subject)  # type: ignore[arg-type]
    try:
        verifier.verify(leaf, list(between))
    except VerificationError:
        return False
    return True


def signed_by_a_thief(
    authority: Authority, *names: x509.GeneralName, is_authority: bool = False
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """Sign whatever a thief of the authority's key would."""
    key = ec.generate_private_key(ec.SECP256R1())
    builder = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "thief")]))
        .issuer_name(authority.certificate.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=20))
        .add_extension(x509.BasicConstraints(ca=is_authority, path_length=None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()), critical=False
        )
    )
    if is_authority:
        usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
        builder = builder.add_extension(usage, critical=True)
    else:
        builder = builder.add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
        builder = builder.add_extension(x509.SubjectAlternativeName(names), critical=False)
    return builder.sign(authority.key, SHA256()), key


def test_it_is_an_authority_for_the_garden_alone_and_says_so_critically(authority: Authority) -> None:
    found = authority.certificate.extensions
    basic = found.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    usage = found.get_extension_for_class(x509.KeyUsage)
    assert usage.critical
    assert usage.value == x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    limits = found.get_extension_for_class(x509.NameConstraints)
    assert limits.critical
    assert limits.value.permitted_subtrees == [
        x509.DNSName("shed.home.arpa"),
        x509.IPAddress(IPv4Network("192.168.1.20/32")),
    ]
    assert limits.value.excluded_subtrees == [x509.IPAddress(IPv6Network("::/0"))]
    assert isinstance(authority.key.curve, ec.SECP256R1)
    assert authority.certificate.not_valid_after_utc.year == 2036
    assert authority.hosts == HOSTS


def test_without_an_address_it_speaks_for_no_address_at_all() -> None:
    named_only = Authority.made(Hosts(("shed.home.arpa",)), now=NOW)
    for text in ("192.168.1.20", "fd00::20"):
        stolen, _ = signed_by_a_thief(named_only, x509.IPAddress(ip_address(text)))
        assert not accepts(named_only, stolen, text)


def test_what_it_signs_is_taken_for_the_garden(authority: Authority) -> None:
    leaf = sign_leaf(authority, HOSTS, now=NOW).certificate
    assert accepts(authority, leaf, "shed.home.arpa")
    assert accepts(authority, leaf, "192.168.1.20")
    assert not accepts(authority, leaf, "elsewhere.home.arpa")


@pytest.mark.parametrize(
    "host", ["bank.example", "home.arpa", "notshed.home.arpa", "192.168.1.21", "fd00::1"]
)
def test_a_thief_of_its_key_is_taken_for_nobody_else(authority: Authority, host: str) -> None:
    try:
        name: x509.GeneralName = x509.IPAddress(ip_address(host))
    except ValueError:
        name = x509.DNSName(host)
    stolen, _ = signed_by_a_thief(authority, name)
    assert not accepts(authority, stolen, host)
    # the same without the limit would be taken: it is the limit that holds
    unlimited = _without_limit()
    stolen, _ = signed_by_a_thief(unlimited, name)
    assert accepts(unlimited, stolen, host)


def _without_limit(path_length: int | None = 0) -> Authority:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "unlimited")])
    usage = x509.KeyUsage(False, False, False, False, False, True, True, False, False)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=99))
        .add_extension(x509.BasicConstraints(ca=True, path_length=path_length), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, SHA256())
    )
    return Authority(certificate, key)


def test_it_can_make_no_further_authority(authority: Authority) -> None:
    def chain(top: Authority) -> bool:
        between, key = signed_by_a_thief(top, is_authority=True)
        leaf, _ = signed_by_a_thief(Authority(between, key), x509.DNSName("shed.home.arpa"))
        return accepts(top, leaf, "shed.home.arpa", between)

    assert not chain(authority)
    assert chain(_without_limit(path_length=None))


def test_another_program_judges_alike(
    authority: Authority, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    (tmp_path / "authority.pem").write_bytes(authority.public_pem)
    good = sign_leaf(authority, HOSTS, now=NOW).certificate
    bad, _ = signed_by_a_thief(authority, x509.DNSName("bank.example"))
    for name, one in (("good", good), ("bad", bad)):
        (tmp_path / f"{name}.pem").write_bytes(one.public_bytes(Encoding.PEM))
    judged = {
        name: subprocess.run(
            [
                need_program("openssl"),
                *("verify", "-x509_strict", "-attime", str(int(NOW.timestamp()))),
                *("-CAfile", str(tmp_path / "authority.pem"), str(tmp_path / f"{name}.pem")),
            ],
            capture_output=True,
            text=True,
        )
        for name in ("good", "bad")
    }
    assert judged["good"].returncode == 0, judged["good"].stderr
    assert judged["bad"].returncode != 0
    assert "permitted subtree violation" in judged["bad"].stderr


def test_a_leaf_is_short_for_servers_only_and_no_authority(authority: Authority) -> None:
    leaf = sign_leaf(authority, HOSTS, now=NOW).certificate
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=90)
    uses = leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(uses) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca


def test_a_leaf_is_due_when_less_than_a_third_is_left_or_the_clock_went_back(authority: Authority) -> None:
    leaf = sign_leaf(authority, HOSTS, now=NOW)
    assert not leaf.is_due(now=NOW)
    assert not leaf.is_due(now=NOW + LEAF_LASTS - LEAF_LEAST)
    assert leaf.is_due(now=NOW + LEAF_LASTS - LEAF_LEAST + timedelta(seconds=1))
    assert leaf.is_due(now=NOW - timedelta(days=2))


def test_a_leaf_ends_with_its_authority_and_not_after_it(authority: Authority) -> None:
    last = authority.certificate.not_valid_after_utc
    assert sign_leaf(authority, HOSTS, now=last - timedelta(days=3)).certificate.not_valid_after_utc == last
    with pytest.raises(CertificateFault, match="has ended"):
        sign_leaf(authority, HOSTS, now=last)


def test_for_another_name_it_says_that_another_authority_is_needed(authority: Authority) -> None:
    with pytest.raises(CertificateFault, match=r"limited to shed\.home\.arpa and 192\.168\.1\.20"):
        sign_leaf(authority, Hosts(("barn.home.arpa",)), now=NOW)


def test_for_another_address_the_name_goes_on(authority: Authority) -> None:
    moved = Hosts(HOSTS.names, (ip_address("192.168.1.77"),))
    assert sign_leaf(authority, moved, now=NOW).hosts == Hosts(HOSTS.names)


@pytest.mark.parametrize(
    "name", ["com", "shed", "Shed.home.arpa", "shed..arpa", "home.arpa", "192.168.1.20", "a_b.c"]
)
def test_a_name_that_is_none_or_too_wide_is_refused(name: str) -> None:
    with pytest.raises(CertificateFault, match="name"):
        Hosts((name,))


def test_it_is_read_as_it_was_written(authority: Authority) -> None:
    assert Authority.read(authority.pem).certificate == authority.certificate
    leaf = sign_leaf(authority, HOSTS, now=NOW)
    assert Leaf.read(leaf.pem).is_by(authority)
    assert not leaf.is_by(Authority.made(HOSTS, now=NOW))
    mixed = authority.public_pem + Authority.made(HOSTS, now=NOW).pem.split(b"-----END CERTIFICATE-----\n")[1]
    with pytest.raises(CertificateFault, match="do not belong together"):
        Authority.read(mixed)


def test_its_fingerprint_is_what_openssl_says(
    authority: Authority, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    file = tmp_path / "authority.crt"
    file.write_bytes(authority.public_pem)
    said = subprocess.run(
        [need_program("openssl"), "x509", "-in", str(file), "-noout", "-fingerprint", "-sha256"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    shown = PublicAuthority.read(file).fingerprint
    assert shown.replace(" ", "") == said.strip().rpartition("=")[2].replace(":", "")
    assert [len(group) for group in shown.split()] == [4] * 16
