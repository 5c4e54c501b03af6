"""An authority that can speak for one garden's hosts and for nobody else, and what it signs.

Whoever steals its key can pass for the garden, but not for any other site: the limit stands in the
authority's certificate as critical name constraints (RFC 5280, 4.2.1.10), and a program that does not
know them has to refuse it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_network
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from slipwright.certificates.faults import CertificateFault

AUTHORITY_LASTS: Final = timedelta(days=3652)
LEAF_LASTS: Final = timedelta(days=30)
#: a leaf is renewed when less than this is left of it
LEAF_LEAST: Final = LEAF_LASTS / 3
#: certificates hold from a day before, for phones whose clock is behind
BEFORE: Final = timedelta(days=1)

_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
_KEY_USES = (
    "digital_signature",
    "content_commitment",
    "key_encipherment",
    "data_encipherment",
    "key_agreement",
    "key_cert_sign",
    "crl_sign",
    "encipher_only",
    "decipher_only",
)
Address = IPv4Address | IPv6Address


@dataclass(frozen=True)
class Hosts:
    """The names and addresses the pages are reached at."""

    names: tuple[str, ...]
    addresses: tuple[Address, ...] = ()

    def __post_init__(self) -> None:
        for name in self.names:
            labels = name.split(".")
            if len(name) > 253 or len(labels) < 2 or not all(map(_LABEL.fullmatch, labels)):
                raise CertificateFault(
                    f"{name!r} is not a name for the garden's machine: small letters, digits and hyphens, "
                    "in two parts or more with dots between, as shed.home.arpa"
                )
            if name == "home.arpa" or labels[-1].isdigit():
                raise CertificateFault(f"{name!r} is not a machine's name: give one as shed.home.arpa")

    def __str__(self) -> str:
        return " and ".join([*self.names, *map(str, self.addresses)])

    def both(self, other: Hosts) -> Hosts:
        """Return what is in this and in ``other``."""
        return Hosts(
            tuple(name for name in self.names if name in other.names),
            tuple(address for address in self.addresses if address in other.addresses),
        )

    def as_alternatives(self) -> list[x509.GeneralName]:
        """Return them as a certificate names those it stands for."""
        return [
            *(x509.DNSName(name) for name in self.names),
            *(x509.IPAddress(address) for address in self.addresses),
        ]


@dataclass(frozen=True)
class Authority:
    """The authority's certificate and its key; ``pem`` holds both."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @classmethod
    def made(cls, hosts: Hosts, *, now: datetime) -> Authority:
        """Draw an authority that can sign for ``hosts`` alone."""
        if not hosts.names:
            raise CertificateFault("an authority needs a name to be limited to")
        key = ec.generate_private_key(ec.SECP256R1())
        name = _named(f"Garden authority {now:%Y-%m-%d} {hosts.names[0]}")
        certificate = (
            _begun(name, name, key.public_key(), now, AUTHORITY_LASTS)
            .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
            .add_extension(_key_usage("key_cert_sign", "crl_sign"), critical=True)
            .add_extension(_constraints(hosts), critical=True)
            .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
            .sign(key, SHA256())
        )
        return cls(certificate, key)

    @classmethod
    def read(cls, pem: bytes) -> Authority:
        """Read what ``pem`` gave."""
        try:
            certificate = x509.load_pem_x509_certificate(pem)
            key = load_pem_private_key(pem, password=None)
            certificate.verify_directly_issued_by(certificate)
            is_its_key = key.public_key() == certificate.public_key()
        except (ValueError, TypeError, InvalidSignature) as error:
            raise CertificateFault(f"holds no authority ({error})") from error
        if not isinstance(key, ec.EllipticCurvePrivateKey) or not is_its_key:
            raise CertificateFault("holds a certificate and a key that do not belong together")
        return cls(certificate, key)

    @property
    def pem(self) -> bytes:
        """Certificate and key, as they are kept: for nobody else's eyes."""
        return self.public_pem + _key_pem(self.key)

    @property
    def public_pem(self) -> bytes:
        """The certificate alone, for everybody."""
        return self.certificate.public_bytes(Encoding.PEM)

    @property
    def hosts(self) -> Hosts:
        """What it may sign for."""
        return _permitted(self.certificate)


@dataclass(frozen=True)
class PublicAuthority:
    """What everybody may know of an authority."""

    certificate: x509.Certificate

    @classmethod
    def read(cls, file: Path) -> PublicAuthority:
        """Read the certificate in ``file``."""
        return cls(x509.load_pem_x509_certificate(file.read_bytes()))

    @property
    def der(self) -> bytes:
        """The certificate, as phones take it."""
        return self.certificate.public_bytes(Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """The SHA-256 of the certificate, in groups of four to compare by eye."""
        figures = sha256(self.der).hexdigest().upper()
        return " ".join(figures[start : start + 4] for start in range(0, len(figures), 4))

    @property
    def ends(self) -> date:
        """The last day it holds."""
        return self.certificate.not_valid_after_utc.date()

    @property
    def hosts(self) -> Hosts:
        """What it may sign for."""
        return _permitted(self.certificate)


@dataclass(frozen=True)
class Leaf:
    """The certificate the pages are served with; ``pem`` holds its key too."""

    certificate: x509.Certificate
    pem: bytes

    @property
    def ends(self) -> date:
        """The last day it holds."""
        return self.certificate.not_valid_after_utc.date()

    @classmethod
    def read(cls, pem: bytes) -> Leaf:
        """Read what ``pem`` gave."""
        try:
            certificate = x509.load_pem_x509_certificate(pem)
            is_its_key = load_pem_private_key(pem, password=None).public_key() == certificate.public_key()
        except (ValueError, TypeError) as error:
            raise CertificateFault(f"holds no certificate with its key ({error})") from error
        if not is_its_key:
            raise CertificateFault("holds a certificate and a key that do not belong together")
        return cls(certificate, pem)

    @property
    def hosts(self) -> Hosts:
        """What it stands for."""
        named = self.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        addresses = named.get_values_for_type(x509.IPAddress)
        return Hosts(
            tuple(named.get_values_for_type(x509.DNSName)),
            tuple(one for one in addresses if isinstance(one, IPv4Address | IPv6Address)),
        )

    def is_by(self, authority: Authority) -> bool:
        """Whether ``authority`` signed it."""
        try:
            self.certificate.verify_directly_issued_by(authority.certificate)
        except (ValueError, TypeError, InvalidSignature):
            return False
        return True

    def is_due(self, *, now: datetime) -> bool:
        """Whether it is to be renewed: less than a third is left, or this machine's clock was set back."""
        starts, ends = self.certificate.not_valid_before_utc, self.certificate.not_valid_after_utc
        return ends - now < LEAF_LEAST or now < starts


def sign_leaf(authority: Authority, hosts: Hosts, *, now: datetime) -> Leaf:
    """Sign a certificate for those of ``hosts`` that the authority may sign for, with a key of its own."""
    if now >= authority.certificate.not_valid_after_utc:
        raise CertificateFault("the garden's authority has ended: a new one is needed (--new-authority)")
    served = hosts.both(authority.hosts)
    if not served.names:
        raise CertificateFault(
            f"the garden's authority is limited to {authority.hosts} and cannot speak for {hosts}. "
            "A new one is needed (--new-authority), and each phone must be told to trust it"
        )
    key = ec.generate_private_key(ec.SECP256R1())
    ends = min(now + LEAF_LASTS, authority.certificate.not_valid_after_utc)
    signer = authority.key.public_key()
    certificate = (
        _begun(_named(served.names[0]), authority.certificate.subject, key.public_key(), now, ends - now)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_key_usage("digital_signature"), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(served.as_alternatives()), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(signer), critical=False)
        .sign(authority.key, SHA256())
    )
    return Leaf(certificate, certificate.public_bytes(Encoding.PEM) + _key_pem(key))


def _permitted(certificate: x509.Certificate) -> Hosts:
    try:
        limits = certificate.extensions.get_extension_for_class(x509.NameConstraints).value
    except x509.ExtensionNotFound as error:
        raise CertificateFault("holds an authority that is not limited to the garden") from error
    permitted = limits.permitted_subtrees or []
    networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
    return Hosts(
        tuple(one.value for one in permitted if isinstance(one, x509.DNSName)),
        tuple(one.network_address for one in networks if isinstance(one, IPv4Network | IPv6Network)),
    )


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    builder = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key)
    builder = builder.serial_number(x509.random_serial_number())
    return builder.not_valid_before(now - BEFORE).not_valid_after(now + lasts)


def _named(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:64])])


def _key_usage(*uses: str) -> x509.KeyUsage:
    return x509.KeyUsage(**{use: use in uses for use in _KEY_USES})


def _constraints(hosts: Hosts) -> x509.NameConstraints:
    """Permit the hosts alone; a kind of address with none permitted is excluded whole."""
    permitted: list[x509.GeneralName] = [x509.DNSName(name) for name in hosts.names]
    permitted += [x509.IPAddress(ip_network(address)) for address in hosts.addresses]
    kinds = {type(address) for address in hosts.addresses}
    excluded: list[x509.GeneralName] = []
    if IPv4Address not in kinds:
        excluded.append(x509.IPAddress(IPv4Network("0.0.0.0/0")))
    if IPv6Address not in kinds:
        excluded.append(x509.IPAddress(IPv6Network("::/0")))
    return x509.NameConstraints(permitted_subtrees=permitted, excluded_subtrees=excluded or None)


def _key_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
