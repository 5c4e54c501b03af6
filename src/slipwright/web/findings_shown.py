"""How findings are shown: each a sentence, a drawing, a table, and what it rests on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.advice._wording import tenths
from slipwright.craft.figures import plain
from slipwright.craft.said import in_tongue
from slipwright.outputs.charts.along_shoot import AlongWords, ShootPart, along_shoot
from slipwright.outputs.charts.range_bars import Scale, range_bar, range_rule
from slipwright.outputs.measures import First
from slipwright.records.answers.findings import heads, words
from slipwright.records.answers.findings.along import PARTS
from slipwright.records.answers.findings.gap import is_settled
from slipwright.records.answers.findings.kept import Along, Counted, Factor, Level, Points, Rate
from slipwright.records.answers.findings.level_words import TITLES, level_words
from slipwright.web.named import named

#: what a trial lets differ, by finding
TRIED = {"along": "part", "dose": "auxin", "length": "length_mm"}
#: weeks a rule is long, the shortest that will do
_WEEKS = (8, 12, 16, 24, 32, 52)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a finding: what of, on how much it rests, its bar, and the row of the table."""

    name: str
    rests: str
    bar: str
    counted: Counted
    as_counted: str
    learned: str
    taxon: str = ""
    wood: str = ""
    more: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding as its card tells it; ``state_at`` is where it is stated as the garden's own rule."""

    key: str
    title: str
    headline: str
    lines: Sequence[Line] = ()
    rule: str = ""
    under: str = ""
    unit: str = ""
    sure: str = ""
    rests: str = ""
    settles: str = ""
    picture: str = ""
    more: str = ""
    state_at: str = ""
    has_counted: bool = False

    @property
    def differs(self) -> str:
        """What a trial of it would let differ, empty where none is planned by a page."""
        return TRIED.get(self.key, "")


def _say(text: str) -> str:
    return in_tongue(text, _)


def _range(points: Points | None, times: float = 100.0) -> str:
    if points is None:
        return ""
    low, middle, high = (_one(one, times) for one in points)
    # a dash beside a minus sign is not read
    span = _("%(low)s to %(high)s") % {"low": low, "high": high} if low.startswith("−") else f"{low}–{high}"
    return f"{middle} ({span})"


def _one(value: float | None, times: float = 100.0) -> str:
    return "" if value is None else _say(plain(times * value, 0)).replace("-", "−")


def _tenths_scale() -> Scale:
    marks = ((0.0, _("0 in 10")), (0.5, _("5 in 10")), (1.0, _("10 in 10")))
    return Scale(0.0, 1.0, marks, 0.1)


def _in_all(counted: Sequence[Counted]) -> str:
    n, k = sum(one.n_stuck for one in counted), sum(one.n_batches for one in counted)
    batches = ngettext("%(k)s batch", "%(k)s batches", k) % {"k": _say(plain(k, 0))}
    return _("Rests on %(n)s cuttings in %(batches)s of your own.") % {
        "n": _say(plain(n, 0)),
        "batches": batches,
    }


def _state_at(plant: str, headline: str, evidence: str) -> str:
    return f"{reverse('finding-rule')}?{urlencode({'plant': plant, 'rule': headline, 'evidence': evidence})}"


def along_shown(along: Along) -> Finding:
    """Return where along the shoot cuttings root."""
    headline = _say(heads.along_headline(along))
    short = dict(zip(PARTS, (_("Tip"), _("Upper"), _("Middle"), _("Lower"), _("Base")), strict=True))
    parts = [
        ShootPart(
            short[one.name],
            _("of %(n)s") % {"n": _say(plain(one.counted.n_stuck, 0))},
            one.counted.n_rooted,
            one.counted.n_waiting,
            one.counted.n_lost,
            one.counted.n_away,
            one.share,
            PARTS.index(one.name),
        )
        for one in along.levels
    ]
    marks = (_("0 in 10"), _("5 in 10"), _("10 in 10"))
    lines = [
        Line(part.name, "", "", one.counted, _one(one.counted.share), _range(one.share))
        for one, part in zip(along.levels, parts, strict=True)
    ]
    rests = _in_all([one.counted for one in along.levels])
    sure = _say(words.how_sure(along.gap, {one.name: level_words("along", one) for one in along.levels}))
    return Finding(
        "along",
        _("Along the shoot: %(plants)s") % {"plants": along.of or _("all plants")},
        headline,
        lines,
        sure=sure,
        rests=rests,
        unit=_("Of each 100; in brackets 8 times in 10"),
        settles=_say(heads.along_settles(along)),
        picture=along_shoot(parts, AlongWords(headline, _("sweet spot"), marks), along.sweet),
        more=" ".join(_say(one) for one in (heads.along_counted(along), heads.along_waiting(along)) if one),
        state_at=_state_at(along.of, headline, f"{rests} {sure}") if along.sweet else "",
    )


def rates_shown(rates: Sequence[Rate]) -> Finding:
    """Return which share of each plant roots, as counted beside as learned."""
    scale = _tenths_scale()
    lines = []
    for one in rates:
        said = _("%(taxon)s, %(wood)s: about %(share)s root, 8 times in 10 from %(low)s to %(high)s") % {
            "taxon": one.taxon,
            "wood": named(one.wood),
            "share": _say(tenths(one.share[1])),
            "low": _say(tenths(one.share[0])),
            "high": _say(tenths(one.share[2])),
        }
        bar = range_bar(one.share, one.counted.share, scale, title=said)
        lines.append(_plant_line(one, bar, _one(one.counted.share), _range(one.share), _range(one.one_batch)))
    return Finding(
        "rates",
        _("Strike rate"),
        _say(heads.rates_headline(rates)),
        lines,
        range_rule(scale),
        _("of the cuttings stuck, in the long run"),
        _("Of each 100; in brackets 8 times in 10"),
        sure=_("The bar is the mean of many batches, 8 times in 10. One batch lies wider; the table has it."),
        rests=_in_all([one.counted for one in rates]),
        more=_say(heads.rates_pulled(rates))
        or _("With one batch the handbook still speaks loudest; by five or so your own records do."),
        settles=_(
            "More batches settle a share: each batch of its own counts for more than more cuttings in one."
        ),
    )


def weeks_shown(rates: Sequence[Rate], every: Sequence[Rate]) -> Finding:
    """Return how long each plant takes."""
    longest = max((one.weeks[2] for one in every), default=1.0)
    high = next((one for one in _WEEKS if longest <= one), _WEEKS[-1])
    step = 2 if high <= 16 else 4
    marks = tuple(
        (float(week), _("%(n)s wk") % {"n": week} if week == high else str(week))
        for week in (0, high // 2, high)
    )
    scale = Scale(0.0, float(high), marks, step)
    lines = []
    for one in rates:
        said = _("%(taxon)s, %(wood)s: half by week %(n)s, 8 times in 10 from %(low)s to %(high)s") % {
            "taxon": one.taxon,
            "wood": named(one.wood),
            "n": _one(one.weeks[1], 1),
            "low": _one(one.weeks[0], 1),
            "high": _one(one.weeks[2], 1),
        }
        bar = range_bar(one.weeks, one.counted.weeks, scale, title=said)
        lines.append(_plant_line(one, bar, _one(one.counted.weeks, 1), _range(one.weeks, 1), ""))
    return Finding(
        "weeks",
        _("Time to root"),
        _say(heads.weeks_headline(rates)),
        lines,
        range_rule(scale),
        _("weeks until half of those that root have done so"),
        _("Weeks; in brackets 8 times in 10"),
        rests=_in_all([one.counted for one in rates]),
        more=_("As counted is the day somebody looked, so it lags: rooted cuttings wait to be seen."),
        settles=_(
            "Looks a week apart in the weeks before, with rooted, lost and waiting counted, settle a time."
        ),
    )


def _plant_line(one: Rate, bar: str, as_counted: str, learned: str, more: str) -> Line:
    rests = _say(words.rests_on(one.counted))
    return Line(one.taxon, rests, bar, one.counted, as_counted, learned, one.taxon, one.wood, more)


def factor_shown(factor: Factor, first: First) -> Finding:
    """Return what one thing in which batches differ makes of them."""
    beside = bool(factor.levels) and factor.levels[0].beside is not None
    headline = _say((words.beside_headline if beside else words.factor_headline)(factor, first))
    reach = _reach([one.beside for one in factor.levels if one.beside])
    n = round(100 * reach)
    scale = _tenths_scale()
    if beside:
        marks = (
            (-reach, _("%(n)s fewer") % {"n": n}),
            (0.0, _("as expected")),
            (reach, _("%(n)s more") % {"n": n}),
        )
        scale = Scale(-reach, reach, marks, reach / 5, 0.0)
    lines = []
    for one in factor.levels:
        name = _level_said(factor, one, first)
        points = one.beside or one.share
        said = f"{name}: {_range(points)}"
        bar = range_bar(points, None if beside else one.counted.share, scale, title=said)
        rests = _say(words.rests_on(one.counted))
        capital = name[:1].upper() + name[1:]
        lines.append(Line(capital, rests, bar, one.counted, _one(one.counted.share), _range(points)))
    names = {one.name: level_words(factor.name, one, first) for one in factor.levels}
    sure = _say(words.how_sure(factor.gap, names))
    rests = _in_all([one.counted for one in factor.levels])
    return Finding(
        factor.name,
        _say(TITLES[factor.name]),
        headline,
        lines,
        range_rule(scale) if lines else "",
        _under(factor.name, beside=beside),
        _("Of each 100; in brackets 8 times in 10"),
        sure,
        rests,
        _say(words.what_settles(factor.name, factor.gap)),
        state_at=_state_at("", headline, f"{rests} {sure}")
        if factor.gap and is_settled(factor.gap) and factor.name != "season"
        else "",
        has_counted=not beside,
        more=_say(words.factor_also(factor, first)),
    )


def _level_said(factor: Factor, level: Level, first: First) -> str:
    words = level_words(factor.name, level, first)
    # what a grower called it stands as it was written
    return words if factor.name in ("place", "season") else _say(words)


def _under(name: str, *, beside: bool) -> str:
    if beside:
        return _("in each 100, beside what was expected of such cuttings")
    if name in ("dose", "length", "warmth"):
        return _("of the cuttings stuck, all else being equal; each line stands for the batches near it")
    return _("of the cuttings stuck, all else being equal")


def _reach(points: Sequence[Points]) -> float:
    furthest = max((max(abs(low), abs(high)) for low, _middle, high in points), default=0.1)
    return max(math.ceil(10 * furthest) / 10, 0.1)
