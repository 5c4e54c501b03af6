"""Where the pages are listened for, and what serves each place."""

from __future__ import annotations

import socket
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from slipwright.cli.answer import BadInput

#: seconds a new process is given to come up before the one whose place it takes is told to end
COMES_UP_S = 15


@dataclass(frozen=True)
class Listener:
    """An address and port, the processes that answer there, and what they are told."""

    address: str
    port: int
    workers: int = 2
    threads: int = 4
    certificate: Path | None = None
    key: Path | None = None
    env: Mapping[str, str] = field(default_factory=dict)

    @property
    def url(self) -> str:
        """The address as a browser takes it, without a slash behind."""
        host = f"[{self.address}]" if ":" in self.address else self.address
        return f"{'https' if self.certificate else 'http'}://{host}:{self.port}"

    def command(self) -> list[str]:
        """Return the program to run."""
        web = [sys.executable, "-m", "granian", "--interface", "wsgi"]
        web += ["--host", self.address, "--port", str(self.port)]
        web += ["--workers", str(self.workers), "--blocking-threads", str(self.threads)]
        if self.certificate and self.key:
            web += ["--ssl-certificate", str(self.certificate), "--ssl-keyfile", str(self.key)]
            web += ["--ssl-protocol-min", "tls1.2", "--respawn-interval", str(COMES_UP_S)]
        return [*web, "--no-ws", "--log-level", "warning", "slipwright.config.wsgi:application"]

    def require_free(self) -> None:
        """Refuse a port that something else answers at, and an address this machine does not have."""
        family = socket.AF_INET6 if ":" in self.address else socket.AF_INET
        with socket.socket(family) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((self.address, self.port))
            except OSError as error:
                raise BadInput(
                    f"--port {self.port}: {self.address}: {error.strerror}. "
                    f"Give another, as --port {self.port + 10}"
                ) from error
