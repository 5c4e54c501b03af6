"""The words of a PDF, page by page, and where they stand."""

from __future__ import annotations

import html
import re
import subprocess
from itertools import combinations

_PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.S)
_WORD = re.compile(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>')
Word = tuple[float, float, float, float, str]


def _read(program: str, pdf: bytes, option: str) -> str:
    done = subprocess.run([program, option, "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode()


def pages_of(program: str, pdf: bytes) -> list[str]:
    """Return the words of each page in a row."""
    return [" ".join(page.split()) for page in _read(program, pdf, "-layout").split("\f")[:-1]]


def faults_of(program: str, pdf: bytes) -> list[str]:
    """Return the words that leave their page or lie upon one another."""
    faults = []
    for width, height, body in _PAGE.findall(_read(program, pdf, "-bbox")):
        words: list[Word] = [
            (float(x0), float(y0), float(x1), float(y1), html.unescape(word))
            for x0, y0, x1, y1, word in _WORD.findall(body)
        ]
        for x0, y0, x1, y1, word in words:
            if x0 < 1 or y0 < 0 or x1 > float(width) - 1 or y1 > float(height):
                faults.append(f"{word} leaves the page")
        for a, b in combinations(words, 2):
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            # boxes run from the font's highest to its lowest letter, so neighbouring lines touch
            if across > 0.5 and down > 0.35 * min(a[3] - a[1], b[3] - b[1]):
                faults.append(f"{a[4]} upon {b[4]}")
    return faults
