"""Pictures for tests, made as cameras and mischief make them."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from PIL import Image

GPS, ORIENTATION, TURNED_RIGHT = 0x8825, 0x0112, 6


def drawn(kind: str = "JPEG", size: tuple[int, int] = (64, 48), **more: Any) -> bytes:
    """Return a picture: its left half red, its right half blue."""
    image = Image.new("RGB", size, "blue")
    image.paste("red", (0, 0, size[0] // 2, size[1]))
    page = io.BytesIO()
    image.save(page, kind, **more)
    return page.getvalue()


def taken_outdoors(turned: bool = False) -> bytes:
    """Return a JPEG that says where and by what it was taken, with a comment."""
    exif = Image.Exif()
    exif[0x0110] = "Camera of an invented make"
    if turned:
        exif[ORIENTATION] = TURNED_RIGHT
    place = exif.get_ifd(GPS)
    place[1], place[2] = "N", (41.0, 6.0, 0.0)
    return drawn(exif=exif, comment=b"by the gate", dpi=(300, 300))


def bomb(side: int = 8000) -> bytes:
    """Return a PNG of few bytes and many pixels."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    packer = zlib.compressobj(9)
    row = b"\0" * (1 + side // 8)
    pixels = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    head = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
