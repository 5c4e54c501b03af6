"""A server on this machine that answers as a weather service does, or as one that is in trouble."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

ANSWER = Path(__file__).parent / "data" / "open-meteo.json"


def recorded() -> dict[str, Any]:
    """Return an answer as Open-Meteo writes them, its figures invented.

    6 to 27 October 2025, of which the 9th lacks its lowest.
    """
    found: dict[str, Any] = json.loads(ANSWER.read_text(encoding="utf-8"))
    return found


@dataclass
class WeatherServer:
    """What is to be answered, first things first, and what was asked; at the end the last again."""

    address: str = ""
    answers: list[tuple[int, bytes, dict[str, str]]] = field(default_factory=list)
    asked: list[dict[str, list[str]]] = field(default_factory=list)

    def will_say(self, told: Any, status: int = 200, **headers: str) -> None:
        """Answer once with this, JSON unless it is bytes."""
        body = told if isinstance(told, bytes) else json.dumps(told).encode()
        self.answers.append((status, body, headers))


@contextmanager
def weather_server() -> Iterator[WeatherServer]:
    """Run the server as long as it is wanted."""
    said = WeatherServer()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            said.asked.append(parse_qs(urlsplit(self.path).query))
            status, body, headers = said.answers.pop(0) if len(said.answers) > 1 else said.answers[0]
            self.send_response(status)
            for name, value in headers.items():
                self.send_header(name.replace("_", "-"), value)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, args=(0.01,), daemon=True).start()
    said.address = f"http://127.0.0.1:{server.server_port}/v1/forecast"
    try:
        yield said
    finally:
        server.shutdown()
        server.server_close()
