"""Files that a command writes: whole, or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from slipwright.cli.answer import BadInput


def write_whole(out: Path, data: bytes, option: str = "--out") -> None:
    """Write the whole file or nothing; ``option`` is named where it cannot be written."""
    try:
        handle, name = tempfile.mkstemp(dir=out.parent, prefix=f".{out.name}.")
    except OSError as error:
        raise BadInput(f"{option}: cannot write in {out.parent}: {error.strerror}") from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)
        os.replace(name, out)
    except OSError as error:
        raise BadInput(f"{option}: cannot write {out}: {error.strerror}") from error
    finally:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(name)
