"""What was asked of a sum of the bench, read from the address: values, or what is wrong with each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from slipwright.advice.sums.asking import Blank, Sum
from slipwright.craft.figures import plain
from slipwright.craft.said import in_tongue
from slipwright.records.errors import BadValue
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest

#: longer words are no plant's name, and no list of nodes
LONGEST = 120
LONGEST_LIST = 600
DAYS = (date(1950, 1, 1), date(2050, 12, 31))


@dataclass(frozen=True)
class Shown:
    """A field of the form: the blank, what stands in it, and what is wrong with that."""

    blank: Blank
    typed: str
    wrong: BadValue | None = None


class Asked(Posted):
    """What stands in the address of a sum."""

    def __init__(self, request: GardenRequest) -> None:
        super().__init__(request)
        self._fields = request.GET

    def read(self, blank: Blank) -> Any:
        """Return the value of a blank; None, or no words, where nothing was said."""
        readers = {
            "number": self._number,
            "whole": self._number,
            "word": lambda one: self.word(one.name, [word for word, _said in one.choices]),
            "text": self._text,
            "lengths": self._lengths,
            "day": self._day,
        }
        value = readers[blank.kind](blank)
        if blank.needed and value in (None, "", ()):
            raise BadValue(blank.name, _("must be given"))
        return value

    def _number(self, blank: Blank) -> float | int | None:
        number = self.number(blank.name) if blank.kind == "number" else self.whole(blank.name)
        if number is None:
            return None
        self._within(blank, float(number))
        return float(number) if blank.kind == "number" else int(number)

    def _within(self, blank: Blank, number: float) -> None:
        if not blank.low <= number <= blank.high:
            ends = {name: in_tongue(plain(getattr(blank, name), 4), _) for name in ("low", "high")}
            raise BadValue(blank.name, _("must be from %(low)s to %(high)s") % ends, self.text(blank.name))

    def _text(self, blank: Blank) -> str:
        said = self.text(blank.name)
        if len(said) > LONGEST:
            raise BadValue(blank.name, _("no plant has so long a name"))
        return said

    def _lengths(self, blank: Blank) -> tuple[float, ...]:
        said = self.text(blank.name)
        if len(said) > LONGEST_LIST:
            raise BadValue(blank.name, _("that is longer than any cane"))
        try:
            found = tuple(float(part) for part in split_lengths(said))
        except ValueError:
            raise BadValue(blank.name, _("must be distances, as 4, 8, 11.5"), said) from None
        for one in found:
            if not blank.low <= one <= blank.high:
                raise BadValue(blank.name, _("must be distances, as 4, 8, 11.5"), said)
        return found

    def _day(self, blank: Blank) -> date | None:
        said = self.day(blank.name)
        if said is not None and not DAYS[0] <= said <= DAYS[1]:
            raise BadValue(blank.name, _("must lie between 1950 and 2050"), said)
        return said


def split_lengths(said: str) -> list[str]:
    """Return the distances of a list, each with a point; a comma inside each part is a decimal one."""
    apart = [part for part in re.split(r"[\s;]+", said) if part]
    if len(apart) > 1 and all(re.fullmatch(r"\d+(,\d+|\.\d+)?", part) for part in apart):
        return [part.replace(",", ".") for part in apart]
    return [part for part in re.split(r"[\s,;]+", said) if part]


def is_asked(request: GardenRequest, one: Sum) -> bool:
    """Return whether the address asks anything of the sum."""
    return any(blank.name in request.GET for blank in one.blanks)


def read_all(request: GardenRequest, one: Sum) -> tuple[dict[str, Any], dict[str, BadValue]]:
    """Return the values of a sum's blanks, and what is wrong with those that would not do."""
    asked, given, wrongs = Asked(request), {}, {}
    for blank in one.blanks:
        try:
            given[blank.name] = asked.read(blank)
        except BadValue as error:
            wrongs[blank.name] = error
    return given, wrongs


def shown_blanks(
    request: GardenRequest, one: Sum, wrongs: dict[str, BadValue]
) -> tuple[list[Shown], list[Shown]]:
    """Return the fields that stand open and those folded away, with what was typed or is usual."""
    asked = is_asked(request, one)
    fields = [
        Shown(
            blank,
            request.GET.get(blank.name, "").strip() if asked else _start(request, blank),
            wrongs.get(blank.name),
        )
        for blank in one.blanks
    ]
    return [field for field in fields if not field.blank.more], [f for f in fields if f.blank.more]


def _start(request: GardenRequest, blank: Blank) -> str:
    if blank.kind == "day":
        return request.today.isoformat()
    if blank.name == "lat" and request.garden and request.garden.latitude_deg is not None:
        return f"{float(request.garden.latitude_deg):g}"
    return blank.start
