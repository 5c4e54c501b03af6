"""The drawings of the pages on paper: every one of them prints, and as it is drawn."""

from __future__ import annotations

import re

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press import svg_drawing
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.svg_drawing import draw_svg, drawing_size, path_steps
from slipwright.outputs.drawings.bend import BENDS, bent_shoot
from slipwright.outputs.drawings.cane import CUTTINGS, form_of_cutting
from slipwright.outputs.drawings.label import plant_label
from slipwright.outputs.drawings.roots import ROOT_STATES, root_ball
from slipwright.outputs.drawings.shoot import SHOOTS, shoot_tip
from slipwright.outputs.drawings.steps import KINDS, step_drawing
from slipwright.outputs.svg import Svg

DRAWINGS: dict[str, str] = {
    **{kind: step_drawing(kind) for kind in KINDS},
    **{bend: bent_shoot(bend) for bend in BENDS},
    **{shoot: shoot_tip(shoot) for shoot in SHOOTS},
    **{state: root_ball(state) for state in ROOT_STATES},
    **{cutting: form_of_cutting(cutting) for cutting in CUTTINGS},
    "label": plant_label(("Rosa", "10 Sep, 24", "K7Q2"), "again"),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_every_drawing_of_the_work_prints(name: str) -> None:
    paper = Paper((100, 100), title="drawing")
    wide, high = drawing_size(DRAWINGS[name])
    assert draw_svg(paper, DRAWINGS[name], 10, 10, 50) == pytest.approx(10 + 50 * high / wide)
    assert paper.finish().warnings == ()


@pytest.mark.parametrize("name", DRAWINGS)
def test_no_part_of_a_drawing_is_left_out(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[str] = []
    plain = svg_drawing._Pen.draw
    monkeypatch.setattr(
        svg_drawing._Pen, "draw", lambda pen, kind, *rest: (drawn.append(kind), plain(pen, kind, *rest))
    )
    draw_svg(Paper((100, 100), title="drawing"), DRAWINGS[name], 10, 10, 50)
    assert len(drawn) == len(re.findall(r"<(?:line|path|rect|circle|text)\b", DRAWINGS[name]))


def test_every_look_a_drawing_has_is_known() -> None:
    named = {
        look
        for svg in DRAWINGS.values()
        for looks in re.findall(r'class="([^"]*)"', svg)
        for look in looks.split()
    }
    unknown = {look for look in named if look.startswith("d-")} - set(svg_drawing._CLASSES)
    assert unknown <= {"d-step"}


def test_a_later_class_overrules_an_earlier() -> None:
    look = svg_drawing._look_of("d-sheet d-ink d-line")
    assert (look.fill, look.stroke, look.width) == ("#FFFFFF", "#0E1B26", 1.7)


def test_paths_are_read_in_every_form() -> None:
    assert path_steps("M0 0l5-5h5v5z") == [
        ("M", ((0, 0),)),
        ("L", ((5, -5),)),
        ("L", ((10, -5),)),
        ("L", ((10, 0),)),
        ("Z", ()),
    ]
    (_, (kind, points)) = path_steps("M0 0Q3 3 6 0")
    assert kind == "C"
    assert points == ((2, 2), (4, 2), (6, 0))
    assert path_steps("M0 0q3 3 6 0t6 0")[-1][1][-1] == (12, 0)
    assert path_steps("M0 0C1 1 2 1 3 0S5-1 6 0")[-1] == ("C", ((4, -1), (5, -1), (6, 0)))


def test_what_is_no_drawing_and_what_is_no_path_is_refused() -> None:
    with pytest.raises(BadArgument, match="drawing"):
        drawing_size("<p>")
    with pytest.raises(BadArgument, match="curves"):
        path_steps("M0 0A5 5 0 0 1 9 9")


def test_words_are_written_where_they_are_anchored(monkeypatch: pytest.MonkeyPatch) -> None:
    svg = Svg(100, 100)
    svg.text(50, 50, "a < b", "mid strong")
    places: list[tuple[str, float]] = []
    monkeypatch.setattr(Paper, "text", lambda _, runs, x, *rest: places.append((runs[0][0], x)))
    draw_svg(Paper((100, 100), title="words"), str(svg), 0, 0, 100)
    ((words, x),) = places
    assert words == "a < b"
    assert x < 50
