"""Serving to the phones of the garden's own network: under which name, by which certificate, told how."""

from __future__ import annotations

import re
import socket
import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from ipaddress import IPv4Address, IPv6Address, ip_address
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import BadInput
from slipwright.cli.certificate import certificates_folder
from slipwright.cli.listeners import Listener

if TYPE_CHECKING:
    from slipwright.certificates import Authority, Kept, Leaf

#: an address kept for documentation (RFC 5737): asking for the way there sends nothing
_ELSEWHERE = ("192.0.2.1", 9)
#: what a listener without https is told, whatever the environment says
PLAIN = {"SLIPWRIGHT_HTTPS": "0"}
NEEDS_TLS = "--tls needs another package: pip install 'slipwright[tls]'"


@dataclass(frozen=True)
class Lan:
    """What was asked for with ``--lan``, looked at; ``given`` are a certificate and key of one's own."""

    name: str
    address: IPv4Address | IPv6Address
    port: int
    is_tls: bool = False
    given: tuple[Path, Path] | None = None
    is_new_authority: bool = False

    @property
    def hosts(self) -> str:
        """The hosts the pages answer to, as the settings take them."""
        address = f"[{self.address}]" if self.address.version == 6 else str(self.address)
        return f"{self.name},{address}"


@dataclass(frozen=True)
class Network:
    """The listeners of a network, what is told of them, and the files whose change they must notice."""

    pages: Listener
    trust: Listener | None
    watched: tuple[Path, ...]
    told: tuple[str, ...]
    code: str
    authority_file: Path | None


def asked(
    name: str | None,
    address: str | None,
    port: int,
    *,
    tls: bool,
    given: tuple[Path | None, Path | None],
    new_authority: bool,
) -> Lan:
    """Return what was asked for, with the machine's own name and address where none were given."""
    certificate, key = given
    if (certificate is None) != (key is None):
        raise BadInput("--cert and --key go together: give both files, or neither")
    if (certificate or new_authority) and not tls:
        raise BadInput("--cert, --key and --new-authority go with --tls")
    if certificate and new_authority:
        raise BadInput("--new-authority draws an authority of the garden's own; --cert brings another's")
    found = _address(address)
    own = (certificate, key) if certificate and key else None
    called = (name or ("" if own else own_name())).lower().rstrip(".")
    if not own and not re.fullmatch(r"[a-z0-9.-]{1,253}", called):
        raise BadInput(f"--name {called}: small letters, digits, hyphens and dots, as shed.home.arpa")
    return Lan(called, found, port, tls, own, new_authority)


def _address(text: str | None) -> IPv4Address | IPv6Address:
    try:
        address = ip_address(text) if text else own_address()
    except ValueError as error:
        raise BadInput(f"--address {text}: is not an address such as 192.168.1.20") from error
    if address.is_unspecified or address.is_multicast:
        raise BadInput(f"--address {address}: give the one address of this machine that phones reach")
    if address.is_global:
        raise BadInput(
            f"--address {address}: anybody on the internet could reach it; --lan is for a network of your own"
        )
    return address


def own_address() -> IPv4Address | IPv6Address:
    """Return the address this machine has on its network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(_ELSEWHERE)
            address = ip_address(way.getsockname()[0])
        except OSError as error:
            raise BadInput(
                "this machine is on no network now; say with --address which address phones reach it at"
            ) from error
    return address


def own_name() -> str:
    """Return the name phones find this machine by, without a name server: its own, and ``.local``."""
    first = socket.gethostname().split(".")[0].lower()
    return f"{re.sub(r'[^a-z0-9]+', '-', first).strip('-') or 'slipwright'}.local"


def network(lan: Lan) -> Network:
    """Return the listeners for what was asked, with their certificates made ready."""
    if not lan.is_tls:
        at = Listener(str(lan.address), lan.port).url + "/"
        env = {"SLIPWRIGHT_HOSTS": lan.hosts, "SLIPWRIGHT_PAGES_AT": at} | PLAIN
        pages = Listener(str(lan.address), lan.port, env=env)
        told = (
            f"On the network: {pages.url}/",
            "Without --tls anybody near can read along. So phones record only while they reach this machine, "
            "and nobody signs in with a password, changes the garden or takes its tables away over it. "
            "slipwright serve --lan --tls mends that.",
        )
        return Network(pages, None, (), told, f"{pages.url}/", None)
    try:
        from slipwright.certificates import CertificateFault
    except ImportError as error:
        raise BadInput(NEEDS_TLS) from error
    try:
        return _by_given(lan, *lan.given) if lan.given else _by_authority(lan)
    except CertificateFault as error:
        raise BadInput(str(error)) from error


def _by_given(lan: Lan, certificate: Path, key: Path) -> Network:
    from slipwright.certificates import check_given

    name, ends = check_given(certificate, key, lan.name, now=datetime.now(UTC))
    address = f"https://{name}:{lan.port}/"
    env = {"SLIPWRIGHT_HOSTS": name, "SLIPWRIGHT_HTTPS": "1", "SLIPWRIGHT_PAGES_AT": address}
    pages = Listener(str(lan.address), lan.port, certificate=certificate, key=key, env=env)
    told = (f"On the network: {address}", f"Its certificate ends on {ends:%Y-%m-%d}; a new one is taken up.")
    return Network(pages, None, (certificate, key), told, address, None)


def _by_authority(lan: Lan) -> Network:
    from slipwright.certificates import Hosts, Kept

    kept = Kept(certificates_folder())
    hosts = Hosts((lan.name,), (lan.address,))
    authority, leaf = kept.ready(hosts, now=datetime.now(UTC), is_new=lan.is_new_authority)
    home = f"https://{lan.name}:{lan.port}/"
    env = {
        "SLIPWRIGHT_HOSTS": lan.hosts,
        "SLIPWRIGHT_AUTHORITY": str(kept.public_file),
        "SLIPWRIGHT_PAGES_AT": home,
    }
    served = kept.served_file
    pages = Listener(
        str(lan.address), lan.port, certificate=served, key=served, env=env | {"SLIPWRIGHT_HTTPS": "1"}
    )
    only = env | PLAIN | {"SLIPWRIGHT_ONLY_TRUST": "1"}
    trust = Listener(str(lan.address), lan.port + 1, workers=1, threads=2, env=only)
    code = f"{trust.url}/trust"
    told = (f"On the network: {home}", *_trusted(lan, authority, leaf, kept, code))
    return Network(pages, trust, (served,), told, code, kept.public_file)


def _trusted(lan: Lan, authority: Authority, leaf: Leaf, kept: Kept, code: str) -> list[str]:
    from slipwright.certificates import PublicAuthority

    public = PublicAuthority(authority.certificate)
    lines = [
        f"Each phone must trust the garden's authority first, once: {code}",
        f"Its fingerprint (SHA-256): {public.fingerprint}",
        f"It can speak for {authority.hosts} alone, until {public.ends:%Y-%m-%d}. "
        f"The pages' certificate ends on {leaf.ends} and is renewed before.",
        f"Its key is in {kept.folder}, for nobody else's eyes; no backup holds it.",
    ]
    if lan.address not in authority.hosts.addresses:
        lines.append(
            f"This machine's address is {lan.address} now, for which the authority cannot speak: "
            f"phones must use the name {lan.name}. --new-authority draws one for both, to be trusted anew."
        )
    return lines


def qr_in_blocks(text: str) -> str:
    """Return the QR code of ``text`` for a terminal: two modules a sign, dark on light."""
    from slipwright.outputs.qr import QUIET_MODULES, qr_symbol

    rows = qr_symbol(text).rows
    side = len(rows) + 2 * QUIET_MODULES
    edge, beside = ["0" * side] * QUIET_MODULES, "0" * QUIET_MODULES
    whole = [*edge, *(f"{beside}{row}{beside}" for row in rows), *edge, "0" * side]
    signs = {("0", "0"): " ", ("1", "0"): "▀", ("0", "1"): "▄", ("1", "1"): "█"}
    lines = []
    for upper, lower in zip(whole[0::2], whole[1::2], strict=False):
        line = "".join(signs[pair] for pair in zip(upper, lower, strict=True))
        lines.append(click.style(line, fg="black", bg="bright_white"))
    return "\n".join(lines)


def can_show(text: str) -> bool:
    """Whether the standard output can write ``text``."""
    try:
        text.encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True
