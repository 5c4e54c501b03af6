"""The garden's own authority, the certificate the pages are served with, and the files of both."""

from slipwright.certificates.authority import Authority, Hosts, Leaf, PublicAuthority, sign_leaf
from slipwright.certificates.faults import CertificateFault
from slipwright.certificates.given import check_given
from slipwright.certificates.kept import Kept

__all__ = [
    "Authority",
    "CertificateFault",
    "Hosts",
    "Kept",
    "Leaf",
    "PublicAuthority",
    "check_given",
    "sign_leaf",
]
