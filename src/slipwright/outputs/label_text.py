"""What stands on a label, in lines that fit: the code always whole, nothing cut without saying so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from typing import Final

from slipwright.outputs._press.lines import FIRM, line_width_mm, wrapped
from slipwright.outputs._press.typeface import ASCENT, DESCENT, PT_PER_MM, Run, typographic
from slipwright.outputs.measures import day_text
from slipwright.outputs.qr import CODE

NAME_PT: Final = 11.0
LEAST_NAME_PT: Final = 8.0
CODE_PT: Final = 11.5
LEAST_CODE_PT: Final = 7.0
DETAIL_PT: Final = 9.0
LEAST_DETAIL_PT: Final = 7.0
SHRINKS: Final = (1.0, 0.95, 0.9, 0.86, 0.82, 0.78, LEAST_NAME_PT / NAME_PT)
"""Steps by which a crowded label's letters shrink before anything is cut."""
LEAST_SHRINK_WITH_COMMON_NAME: Final = 0.95
LEAST_SHRINK_WITH_FIRM_EPITHET: Final = 0.86
MOST_NAME_LINES: Final = 5
_LEADING: Final = {"name": 1.12, "code": 1.22, "detail": 1.2}


@dataclass(frozen=True)
class Label:
    """One label; ``name_runs`` are pieces of the name, True for those in italics."""

    name_runs: tuple[tuple[str, bool], ...]
    code: str
    common_name: str = ""
    stuck_on: date | None = None
    treatment: str = ""
    place: str = ""
    copies: int = 1
    #: the day of sticking in another tongue, in place of "stuck" and the day
    stuck_words: str = ""

    @property
    def name(self) -> str:
        """The whole name as plain text."""
        return "".join(text for text, _ in self.name_runs)


@dataclass(frozen=True)
class Line:
    """One line of print and the height it takes."""

    runs: tuple[Run, ...]
    size_pt: float
    leading: float

    @property
    def height_mm(self) -> float:
        """From this line to the next [mm]."""
        return self.size_pt * self.leading / PT_PER_MM


@dataclass(frozen=True)
class Block:
    """Lines that fit a box, and what had to be left out to make them fit."""

    lines: tuple[Line, ...]
    notes: tuple[str, ...] = ()

    @property
    def height_mm(self) -> float:
        """From the top of the first line's letters to the bottom of the last one's [mm]."""
        if not self.lines:
            return 0.0
        last = self.lines[-1]
        return sum(line.height_mm for line in self.lines[:-1]) + last.size_pt * (ASCENT + DESCENT) / PT_PER_MM

    def baselines(self, top_mm: float) -> Iterator[tuple[float, Line]]:
        """Each line with the height of its baseline, the block's top at ``top_mm``."""
        for line in self.lines:
            yield top_mm + line.size_pt * ASCENT / PT_PER_MM, line
            top_mm += line.height_mm


def code_text(code: str) -> str:
    """Return a code as it is printed: in fours, joined by a hyphen.

    Parameters
    ----------
    code : str
        The batch's code or id.

    Returns
    -------
    str
        A code made by Slipwright in fours; any other id as it is.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> code_text("K7Q2M9T3"), code_text("roses, 2019")
    ('K7Q2-M9T3', 'roses, 2019')
    """
    return f"{code[:4]}-{code[4:]}" if CODE.fullmatch(code) else code


@lru_cache(maxsize=4096)
def label_block(label: Label, width_mm: float, height_mm: float, scale: float = 1.0) -> Block:
    """Return the lines of a label that fit a box.

    Parameters
    ----------
    label : Label
        What is to stand on it.
    width_mm : float
        Width no line exceeds [mm].
    height_mm : float
        Height the lines together do not exceed [mm].
    scale : float
        How much larger than the usual letters to start [-].

    Returns
    -------
    Block
        Name, common name if there is room, code, day stuck, treatment and place; with notes of
        what was cut or left out.

    Raises
    ------
    ValueError
        If even the code does not fit.

    Notes
    -----
    Letters shrink from 11 to 8 points (name) and 9 to 7 points (details) first. Then the name is
    cut, ending in an ellipsis; then place and treatment go. The code is never cut.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> label = Label((("Salvia rosmarinus", True),), "D4HW2RK6")
    >>> [line.runs[0][0] for line in label_block(label, 40, 20).lines]
    ['Salvia rosmarinus', 'D4HW-2RK6']
    """
    for candidate in _uncut(label, width_mm, scale):
        if candidate.height_mm <= height_mm and not candidate.notes:
            return candidate
    for candidate in _reduced(label, width_mm):
        if candidate.height_mm <= height_mm:
            return candidate
    raise ValueError(f"no room for the code {label.code!r} in {width_mm:.1f} × {height_mm:.1f} mm")


def _uncut(label: Label, width_mm: float, scale: float) -> Iterator[Block]:
    """Whole labels, best first: large, the cultivar epithet in one line, the common name kept."""
    larger = [scale * (1 - i / 20) for i in range(20) if scale * (1 - i / 20) > 1]
    shrinks = (*larger, *SHRINKS)
    plain = replace(label, common_name="")
    for firm, least in ((True, LEAST_SHRINK_WITH_FIRM_EPITHET), (False, 0.0)):
        for wanted, smallest in ((label, LEAST_SHRINK_WITH_COMMON_NAME), (plain, least)):
            for shrink in shrinks:
                if shrink >= smallest:
                    yield _block(wanted, width_mm, _Way(shrink, firm=firm))


def _reduced(label: Label, width_mm: float) -> Iterator[Block]:
    """Give up the ends of place and treatment, then those two, then the end of the name; say so."""
    for n_lines in ((MOST_NAME_LINES,), (4, 3, 2), (1,)):
        for kept, gone in _bared(label, whole_name=n_lines[0] == MOST_NAME_LINES):
            said = tuple(f"{code_text(label.code)}: no room for the {what}" for what in gone)
            for n in n_lines:
                block = _block(kept, width_mm, _Way(SHRINKS[-1], n_name_lines=n, n_detail_lines=1))
                if n < MOST_NAME_LINES or not any(" name cut " in note for note in block.notes):
                    yield Block(block.lines, (*block.notes, *said))


def _bared(label: Label, *, whole_name: bool) -> Iterator[tuple[Label, tuple[str, ...]]]:
    """Yield the label with ever fewer details, and what has gone."""
    kept = replace(label, common_name="")
    yield kept, ()
    place = ("place",) if label.place else ()
    kept = replace(kept, place="")
    yield kept, place
    treatment = ("treatment",) if label.treatment else ()
    kept = replace(kept, treatment="")
    yield kept, (*place, *treatment)
    if not whole_name and label.stuck_on:
        yield replace(kept, stuck_on=None, stuck_words=""), (*place, *treatment, "day stuck")


@dataclass(frozen=True)
class _Way:
    """One way to set a label: how small, how many lines, and whether an epithet may be broken."""

    shrink: float
    firm: bool = False
    n_name_lines: int = MOST_NAME_LINES
    n_detail_lines: int = 2


def _block(label: Label, width_mm: float, way: _Way) -> Block:
    notes: list[str] = []
    lines: list[Line] = []

    def add(runs: Sequence[Run], size_pt: float, kind: str, most: int, what: str) -> None:
        done = wrapped(runs, size_pt=size_pt, width_mm=width_mm, max_lines=most)
        lines.extend(Line(line, size_pt, _LEADING[kind]) for line in done.lines)
        if done.is_cut:
            text = "".join(part for part, _ in runs)
            notes.append(f"{code_text(label.code)}: {what} cut to fit: {text.replace(FIRM, ' ')}")

    name_pt = NAME_PT * way.shrink
    detail_pt = max(DETAIL_PT * way.shrink, LEAST_DETAIL_PT)
    name, is_broken = _name_runs(label, name_pt, width_mm)
    if is_broken and way.firm:
        notes.append("the epithet is broken over lines")
    add(name, name_pt, "name", way.n_name_lines, "name")
    if label.common_name:
        add([(label.common_name, "regular")], detail_pt, "detail", 1, "common name")
    lines.extend(_code_lines(label.code, CODE_PT * way.shrink, width_mm))
    for text, what in _details(label, detail_pt, width_mm):
        add([(text, "regular")], detail_pt, "detail", way.n_detail_lines, what)
    return Block(tuple(lines), tuple(notes))


def _name_runs(label: Label, size_pt: float, width_mm: float) -> tuple[tuple[Run, ...], bool]:
    """Name with the cultivar epithet kept in one line if it fits one, and whether it had to break."""
    runs: tuple[Run, ...] = tuple(
        (typographic(text), "bold-italic" if italic else "bold") for text, italic in label.name_runs
    )
    firm = tuple((_firm_quotes(text), face) for text, face in runs)
    fits = all(line_width_mm([run], size_pt) <= width_mm for run in firm if FIRM in run[0])
    return (firm, False) if fits else (runs, True)


def _firm_quotes(text: str) -> str:
    before, quote, rest = text.partition("‘")
    return before + quote + rest.replace(" ", FIRM) if quote else text


def _code_lines(code: str, size_pt: float, width_mm: float) -> list[Line]:
    run: Run = (code_text(code), "mono-bold")
    at_one_pt = line_width_mm([run], 1.0)
    size_pt = max(min(size_pt, width_mm / at_one_pt), min(size_pt, LEAST_CODE_PT))
    done = wrapped([run], size_pt=size_pt, width_mm=width_mm + 1e-6)
    return [Line(line, size_pt, _LEADING["code"]) for line in done.lines]


def _details(label: Label, size_pt: float, width_mm: float) -> list[tuple[str, str]]:
    said = label.stuck_words or (f"stuck {day_text(label.stuck_on)}" if label.stuck_on else "")
    days = [(said, "day stuck")] if said else []
    both = [(text, what) for text, what in ((label.treatment, "treatment"), (label.place, "place")) if text]
    joined = " · ".join(text for text, _ in both)
    if len(both) == 2 and line_width_mm([(joined, "regular")], size_pt) <= width_mm:
        return [*days, (joined, "treatment and place")]
    return [*days, *both]
