"""A picture as it was sent, made anew: upright, not too large, a JPEG, and nothing beside the picture."""

from __future__ import annotations

import io
import struct
import threading
from math import ceil
from typing import Final

from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from slipwright.records.errors import BadValue

#: What a picture that is sent may have in bytes and in pixels.
MOST_BYTES: Final = 10_000_000
MOST_PIXELS: Final = 24_000_000
#: Longest side of a picture that is kept, and of the small one shown in lists, in pixels.
LONGEST_PX: Final = 2560
SMALL_PX: Final = 480
_QUALITY = 85
#: a picture that comes in ever finer is drawn so many times over at most; ten are common
_MOST_SCANS = 100
_SCAN = b"\xff\xda"
#: one picture is unpacked at a time: it takes room that the pages need
_UNPACKING = threading.Semaphore(1)
_FORMATS = ("JPEG", "PNG", "WEBP")
#: What Pillow raises at a file that is not what it begins as.
_DAMAGED = (OSError, SyntaxError, ValueError, EOFError, IndexError, KeyError, struct.error, MemoryError)
_BOMBS = (Image.DecompressionBombError, Image.DecompressionBombWarning)


def made_anew(sent: bytes) -> bytes:
    """Return the JPEG kept of a picture that was sent; raise ``BadValue`` where it is none that is taken.

    The kind is told by decoding, whatever the file is called. Nothing but the pixels is carried over: no
    position, no device, no words, and nothing that stood behind the picture's end.
    """
    if len(sent) > MOST_BYTES:
        raise too_heavy()
    with _UNPACKING:
        return _jpeg(_read(sent, LONGEST_PX), LONGEST_PX)


def too_heavy() -> BadValue:
    """Return the error of a picture of too many bytes."""
    return BadValue("file", _("must be of at most %(n)s MB") % {"n": MOST_BYTES // 1_000_000})


def made_small(kept: bytes) -> bytes:
    """Return the small picture of one that is kept."""
    return _jpeg(_read(kept, SMALL_PX), SMALL_PX)


def is_kept_kind(kept: bytes) -> bool:
    """Return whether some bytes are a picture as we keep them, as far as its beginning tells."""
    try:
        with Image.open(io.BytesIO(kept), formats=("JPEG",)) as image:
            return len(kept) <= MOST_BYTES and image.width * image.height <= MOST_PIXELS
    except (*_BOMBS, *_DAMAGED):
        return False


def _read(sent: bytes, longest_px: int) -> Image.Image:
    try:
        with Image.open(io.BytesIO(sent), formats=_FORMATS) as image:
            if image.width * image.height > MOST_PIXELS:
                raise _too_large()
            if image.info.get("progressive") and sent.count(_SCAN) > _MOST_SCANS:
                raise BadValue("file", _("is packed in too many layers: take the picture anew"))
            if longest_px < max(image.size):
                share = longest_px / max(image.size)
                # a JPEG is unpacked no larger than need be
                image.draft(None, (ceil(image.width * share), ceil(image.height * share)))
            image.load()
            return ImageOps.exif_transpose(_on_white(image))
    except BadValue:
        raise
    except _BOMBS:
        raise _too_large() from None
    except UnidentifiedImageError:
        raise BadValue("file", _("must be a picture: JPEG, PNG or WebP")) from None
    except _DAMAGED:
        raise BadValue("file", _("is damaged, or not whole: take the picture anew")) from None


def _too_large() -> BadValue:
    return BadValue("file", _("must have at most %(n)s megapixels") % {"n": MOST_PIXELS // 1_000_000})


def _on_white(image: Image.Image) -> Image.Image:
    """Return a picture in plain colours, what is see-through in it on white."""
    if not image.has_transparency_data:
        return image.convert("RGB")
    there = image.convert("RGBA")
    white = Image.new("RGB", there.size, "white")
    white.paste(there, mask=there.getchannel("A"))
    white.info["exif"] = image.info.get("exif", b"")
    return white


def _jpeg(image: Image.Image, longest_px: int) -> bytes:
    image.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS)
    bare = Image.new("RGB", image.size)
    bare.paste(image)
    page = io.BytesIO()
    bare.save(page, "JPEG", quality=_QUALITY, optimize=True)
    return page.getvalue()
