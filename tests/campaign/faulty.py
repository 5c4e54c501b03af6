"""Pages with a planted fault: what a phone sends is answered as received before it is written down.

The fault is there only where ``SLIPWRIGHT_PLANTED`` is set: tests import every module beside them.
"""

from __future__ import annotations

import os
import queue
import threading
import time
from typing import Any

from slipwright.config.wsgi import application
from slipwright.records import services
from slipwright.records.services import Answer, Receipt

__all__ = ["application"]

_LATER: queue.Queue[dict[str, Any]] = queue.Queue()
_receive = services.receive_sending


def _write_later() -> None:
    while True:
        asked = _LATER.get()
        time.sleep(0.05)
        _receive(**asked)


def _receive_early(**asked: Any) -> Receipt:
    _LATER.put(asked)
    answers = [
        Answer("received", one.content["kind"], one.content["id"], one.sha256, asked["now"], 1)
        for one in asked["sent"]
    ]
    return Receipt(0, "right", tuple(answers))


if os.environ.get("SLIPWRIGHT_PLANTED") == "1":
    services.receive_sending = _receive_early
    threading.Thread(target=_write_later, daemon=True).start()
