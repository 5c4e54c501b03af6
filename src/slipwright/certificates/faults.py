"""What is wrong with a certificate."""

from __future__ import annotations


class CertificateFault(ValueError):
    """A certificate or key will not do: what, where, and how to mend it."""
