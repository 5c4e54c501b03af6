"""Hashing passwords in a thread that steps back for those that make pages."""

from __future__ import annotations

import os
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import cache

from django.contrib.auth.hashers import PBKDF2PasswordHasher

#: so much less of a processor than a page gets, where both want it
_STEPS_BACK = 10


class QuietHasher(PBKDF2PasswordHasher):
    """PBKDF2 as ever, one at a time in a process and behind everything else it does."""

    def encode(self, password: str, salt: str, iterations: int | None = None) -> str:
        """Return the hash as it is kept."""
        return _hashing().submit(super().encode, password, salt, iterations).result()


@cache
def _hashing() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(1, "hashing", initializer=_step_back)


def _step_back() -> None:
    if sys.platform == "linux":  # elsewhere a thread has no place of its own
        with suppress(OSError):  # where it is not allowed it is hashed all the same
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), _STEPS_BACK)
