"""The certificate the pages are served with: where it is, whether it can be served, how long it holds."""

from __future__ import annotations

import os
import ssl
from datetime import datetime, timedelta
from pathlib import Path

from slipwright.cli.answer import counted

#: a leaf is renewed long before; an authority is told of while there is time to go round the phones
LEAF_WARNED, AUTHORITY_WARNED = timedelta(days=7), timedelta(days=60)


def certificates_folder() -> Path:
    """Return where authority and leaf are kept: beside the secret key."""
    import platformdirs

    told = os.environ.get("SLIPWRIGHT_CERTIFICATES")
    return Path(told) if told else Path(platformdirs.user_data_path("slipwright")) / "certificates"


def renewed(folder: Path, now: datetime) -> str:
    """Renew the leaf if it is due, and return what to tell: that it was done, or why it cannot be."""
    if not (folder / "served.pem").exists():
        return ""
    try:
        from slipwright.certificates import CertificateFault, Kept

        leaf = Kept(folder).renew(now=now)
    except (ImportError, CertificateFault, OSError) as error:
        return f"the pages' certificate cannot be renewed: {error}"
    return f"the pages' certificate was renewed, until {leaf.ends}" if leaf else ""


def loads_together(certificate: Path, key: Path | None = None) -> bool:
    """Whether a certificate and its key, in one file or two, can be served with as they stand now."""
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key)
    except OSError:
        return False
    return True


def how_long(folder: Path, now: datetime) -> tuple[str, str]:
    """Return what to tell of the certificates kept here, and what to warn of; empty where there are none."""
    if not (folder / "served.pem").exists():
        return "", ""
    try:
        from slipwright.certificates import CertificateFault, Kept

        authority, leaf = Kept(folder).authority(), Kept(folder).leaf()
    except (ImportError, CertificateFault, OSError) as error:
        return "", f"cannot be renewed: {error}"
    if leaf is None:
        return "", "cannot be read; slipwright serve --lan --tls signs another"
    left = leaf.certificate.not_valid_after_utc - now
    of_authority = authority.certificate.not_valid_after_utc - now
    pages, issuer = counted(left.days, "day"), counted(of_authority.days, "day")
    told = f"certificate of the pages: {pages} left; its authority: {issuer} left"
    if of_authority < AUTHORITY_WARNED:
        days = max(of_authority.days, 0)
        return told, f"the authority ends in {counted(days, 'day')}: draw a new one (serve --new-authority)"
    if left < LEAF_WARNED:
        return told, "was not renewed: it is while slipwright serve --lan --tls runs"
    return told, ""
