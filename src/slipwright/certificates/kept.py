"""The files of authority and leaf, beside the secret key: for their owner's eyes, and in no backup."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from slipwright.certificates.authority import Authority, Hosts, Leaf, sign_leaf
from slipwright.certificates.faults import CertificateFault


@dataclass(frozen=True)
class Kept:
    """A folder with the authority and the leaf it signed last."""

    folder: Path

    @property
    def authority_file(self) -> Path:
        """Certificate and key of the authority, mode 0600."""
        return self.folder / "authority.pem"

    @property
    def public_file(self) -> Path:
        """The authority's certificate alone, to hand out."""
        return self.folder / "garden-authority.crt"

    @property
    def served_file(self) -> Path:
        """Leaf and key in one file, so that one never stands there without the other."""
        return self.folder / "served.pem"

    def ready(self, hosts: Hosts, *, now: datetime, is_new: bool = False) -> tuple[Authority, Leaf]:
        """Return authority and leaf for ``hosts``, made where they are missing; ``is_new`` draws another.

        Of two that start at once both take the authority that stood there first.
        """
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if is_new:
            write_private(self.authority_file, Authority.made(hosts, now=now).pem)
        elif not self.authority_file.exists():
            write_private(self.authority_file, Authority.made(hosts, now=now).pem, is_first=True)
        authority = self.authority()
        write_private(self.public_file, authority.public_pem, mode=0o644)
        leaf = self.leaf()
        wanted = hosts.both(authority.hosts)
        if leaf is None or not leaf.is_by(authority) or leaf.hosts != wanted or leaf.is_due(now=now):
            leaf = sign_leaf(authority, hosts, now=now)
            write_private(self.served_file, leaf.pem)
        return authority, leaf

    def renew(self, *, now: datetime) -> Leaf | None:
        """Sign the leaf anew for the hosts it stands for, if it is due, and return the new one."""
        leaf = self.leaf()
        if leaf is None or not leaf.is_due(now=now):
            return None
        renewed = sign_leaf(self.authority(), leaf.hosts, now=now)
        write_private(self.served_file, renewed.pem)
        return renewed

    def authority(self) -> Authority:
        """Read the authority."""
        try:
            return Authority.read(self.authority_file.read_bytes())
        except FileNotFoundError as error:
            raise CertificateFault(f"{self.authority_file} is not there") from error
        except CertificateFault as error:
            raise CertificateFault(
                f"{self.authority_file} {error}. Put that file back, or draw a new authority "
                "(--new-authority), which each phone must then be told to trust"
            ) from error

    def leaf(self) -> Leaf | None:
        """Read the leaf; one that cannot be read is none, for it is soon signed again."""
        try:
            return Leaf.read(self.served_file.read_bytes())
        except (FileNotFoundError, CertificateFault):
            return None


def write_private(file: Path, content: bytes, *, mode: int = 0o600, is_first: bool = False) -> None:
    """Write ``file`` whole under another name and then put it in place.

    With ``is_first`` a file that stands there already, put there by another meanwhile, stays.
    """
    beside = file.with_name(f".{file.name}.{os.getpid()}.{secrets.token_hex(4)}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    try:
        with os.fdopen(handle, "wb") as new:
            new.write(content)
            new.flush()
            os.fsync(new.fileno())
        if is_first:
            try:
                os.link(beside, file)
            except FileExistsError:
                return
            except OSError:
                os.replace(beside, file)  # a file system without links
        else:
            os.replace(beside, file)
    finally:
        with suppress(FileNotFoundError):
            beside.unlink()
