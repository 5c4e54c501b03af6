"""The one door to the drawing library: imported only when something is drawn.

It costs a third of a second of processor time to import, and most commands draw nothing.
"""

from __future__ import annotations

import threading
from typing import IO, Any

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from slipwright.outputs._press.typeface import PT_PER_MM, font_name

# Binary streams: a quarter smaller than the library's usual text encoding of them, and quicker.
rl_config.useA85 = 0
# The font objects of the drawing library keep a read position while a document is written.
_WRITING = threading.Lock()


class _Info(pdfdoc.PDFInfo):  # type: ignore[misc]
    """Document information without dates: the day a thing was made is printed on it, if anywhere."""

    def format(self, document: Any) -> Any:
        """Title, subject and maker only."""
        fields = {"Title": self.title, "Subject": self.subject, "Creator": "Slipwright"}
        return pdfdoc.PDFDictionary({k: pdfdoc.PDFString(v) for k, v in fields.items()}).format(document)


def new_canvas(out: IO[bytes], size_mm: tuple[float, float], title: str, subject: str, lang: str) -> Any:
    """Return a canvas of a size that writes the same bytes for the same marks."""
    canvas = Canvas(
        out,
        pagesize=(size_mm[0] * PT_PER_MM, size_mm[1] * PT_PER_MM),
        invariant=True,
        pageCompression=1,
        lang=lang,
        pdfVersion=(1, 4),
        initialFontName=font_name("regular"),
    )
    canvas._doc.info = _Info()
    canvas.setTitle(title)
    canvas.setSubject(subject)
    # Labels and drawings are true to size: the print window then offers "actual size" first.
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def colour(name: str) -> Any:
    """Return a colour of the palette as the library takes it."""
    return HexColor(name)


def keep_drawing(canvas: Any, name: str, marks: str, size: int) -> None:
    """Keep a drawing of ``size`` by ``size`` units in the document under a name."""
    form = pdfdoc.PDFFormXObject(0, 0, size, size)
    form.setStreamList([marks])
    form.compression = 1
    canvas._doc.addForm(name, form)


def write_out(canvas: Any) -> None:
    """Write the document, one at a time."""
    with _WRITING:
        canvas.save()
