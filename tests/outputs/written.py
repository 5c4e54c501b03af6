"""What stands on a printed page, line by line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from slipwright.outputs._press.paper import Paper


class Written(list[str]):
    """Every line of text as it was put on paper, and the ends of the lines."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        super().__init__()
        plain = Paper.text

        def text(paper: Paper, runs: Sequence[Any], x: float, y: float, *more: Any) -> float:
            self.append("".join(part for part, _ in runs))
            end = plain(paper, runs, x, y, *more)
            if paper._top_pt:  # what is turned has another corner
                assert x >= -0.1, runs
                assert end <= paper.width_mm + 0.1, runs
                assert y <= paper.height_mm, runs
            return end

        monkeypatch.setattr(Paper, "text", text)

    def __contains__(self, words: object) -> bool:
        """Return whether words stand anywhere, a line's end counting as a blank."""
        return str(words) in " ".join(self).replace("\u00a0", " ")
