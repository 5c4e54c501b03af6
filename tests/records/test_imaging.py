"""A picture is taken by what it is, and only its pixels are kept."""

from __future__ import annotations

import contextlib
import io
import itertools
import threading
from typing import Any

import pytest
from PIL import Image, JpegImagePlugin

from slipwright.records import imaging
from slipwright.records.errors import BadValue
from slipwright.records.imaging import LONGEST_PX, MOST_BYTES, SMALL_PX, is_kept_kind, made_anew, made_small
from tests.records.pictures import bomb, drawn, taken_outdoors


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_the_three_kinds_become_a_jpeg(kind: str) -> None:
    made = opened(made_anew(drawn(kind)))
    assert (made.format, made.size) == ("JPEG", (64, 48))
    assert made.getpixel((5, 20))[0] > 200  # type: ignore[index]


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "ICO"])
def test_other_kinds_are_refused_though_they_could_be_read(kind: str) -> None:
    with pytest.raises(BadValue, match="JPEG, PNG or WebP"):
        made_anew(drawn(kind))


def test_nothing_beside_the_pixels_is_kept() -> None:
    sent = taken_outdoors()
    assert b"invented make" in sent
    assert b"by the gate" in sent
    kept = made_anew(sent)
    made = opened(kept)
    assert dict(made.getexif()) == {}
    assert set(made.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert b"invented make" not in kept
    assert b"by the gate" not in kept
    assert b"Exif" not in kept


def test_a_picture_taken_sideways_is_kept_upright() -> None:
    made = opened(made_anew(taken_outdoors(turned=True)))
    assert made.size == (48, 64)
    assert made.getpixel((20, 5))[0] > 200  # type: ignore[index]
    assert made.getpixel((20, 60))[2] > 200  # type: ignore[index]


def test_a_see_through_picture_stands_on_white() -> None:
    page = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(page, "PNG")
    assert min(opened(made_anew(page.getvalue())).getpixel((5, 5))) > 250  # type: ignore[type-var, arg-type]


def test_a_long_one_is_made_shorter_and_its_small_one_shorter_still() -> None:
    kept = made_anew(drawn(size=(LONGEST_PX * 2, 100)))
    assert opened(kept).size == (LONGEST_PX, 50)
    assert max(opened(made_small(kept)).size) == SMALL_PX
    assert opened(made_anew(drawn(size=(10, 10)))).size == (10, 10)


def test_many_pixels_in_few_bytes_are_refused_before_they_are_unpacked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sent = bomb()
    assert len(sent) < 20_000

    def unpacked(*_: object) -> None:
        raise AssertionError("it was unpacked")

    monkeypatch.setattr(Image.Image, "load", unpacked)
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", unpacked)
    with pytest.raises(BadValue, match="24 megapixels"):
        made_anew(sent)


@pytest.mark.parametrize("side", [16_000, 14_000])
def test_so_are_those_that_the_library_itself_calls_a_bomb(side: int) -> None:
    with pytest.raises(BadValue, match="24 megapixels"):
        made_anew(bomb(side))


def test_too_many_bytes_are_refused_unread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(imaging, "_read", None)
    with pytest.raises(BadValue, match="at most 10 MB"):
        made_anew(b"\xff" * (MOST_BYTES + 1))


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_ends_half_way_is_refused(kind: str) -> None:
    whole = drawn(kind, (400, 300), **({"lossless": True} if kind == "WEBP" else {}))
    for share in (0.2, 0.5, 0.9):
        with pytest.raises(BadValue):
            made_anew(whole[: int(len(whole) * share)])


def test_what_stands_behind_a_pictures_end_is_left_behind() -> None:
    kept = made_anew(drawn("PNG") + b"<html><script>alert(1)</script></html>")
    assert b"script" not in kept
    assert opened(kept).format == "JPEG"


@pytest.mark.parametrize("sent", [b"", b"GIF89a", b"<svg xmlns='x'/>", b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"])
def test_what_is_no_picture_is_refused(sent: bytes) -> None:
    with pytest.raises(BadValue):
        made_anew(sent)


def test_what_is_kept_is_a_jpeg_of_a_size_that_is_kept() -> None:
    assert is_kept_kind(made_anew(drawn()))
    assert not is_kept_kind(drawn("PNG"))
    assert not is_kept_kind(b"<html>")


def test_one_picture_is_unpacked_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    at_once, most = itertools.count(1), []
    meeting = threading.Barrier(2, timeout=0.2)

    def slow(sent: bytes, longest_px: int) -> Image.Image:
        with contextlib.suppress(threading.BrokenBarrierError):
            meeting.wait()
            most.append(next(at_once))
        return Image.new("RGB", (4, 4))

    monkeypatch.setattr(imaging, "_read", slow)
    both = [threading.Thread(target=made_anew, args=(b"x",)) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join(5)
    assert most == []


def test_a_jpeg_is_unpacked_no_larger_than_need_be(monkeypatch: pytest.MonkeyPatch) -> None:
    loaded: list[tuple[int, int]] = []
    whole = JpegImagePlugin.JpegImageFile.load

    def noted(self: Any) -> Any:
        loaded.append(self.size)
        return whole(self)

    sent = drawn(size=(LONGEST_PX * 2 + 8, 80))
    monkeypatch.setattr(JpegImagePlugin.JpegImageFile, "load", noted)
    assert opened(made_anew(sent)).width == LONGEST_PX
    assert max(loaded[0]) < LONGEST_PX + 10


def test_a_picture_of_a_great_many_layers_is_refused_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    page = io.BytesIO()
    Image.new("RGB", (64, 48), "red").save(page, "JPEG", progressive=True)
    made_anew(page.getvalue())
    first, layer = page.getvalue().rsplit(b"\xff\xda", 1)
    sent = first + (b"\xff\xda" + layer.removesuffix(b"\xff\xd9")) * 200 + b"\xff\xd9"
    monkeypatch.setattr(JpegImagePlugin.JpegImageFile, "load", lambda *_: pytest.fail("it was unpacked"))
    with pytest.raises(BadValue, match="too many layers"):
        made_anew(sent)
