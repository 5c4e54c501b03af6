"""What became of each batch of the demonstration garden: looks, pottings, outcomes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from slipwright.records.demo.setting import STANDS_ON, Luck, Row, coldest, warmest
from slipwright.records.demo.sticking import Stuck
from slipwright.rooting.dates import POT_UP_AT, pot_up_at, pot_up_day
from slipwright.rooting.simulate import Hazards, drawn_counts

#: days after their time at which what waits still is given up, as far as anybody gets round to it
GRACE_DAYS: Final = (0, 24)
#: when the bench is full, potting waits
FULL_FROM: Final = date(2015, 5, 20)
SCORCH_C: Final = 31.0
FROST_C: Final = -4.0
WINTER: Final = (11, 12, 1, 2)
SPRING: Final = (3, 4, 5)
_BY: Final = {"orla": 4.0, "tam": 5.0, "bea": 3.0, "jun": 2.0}
_GIVEN_TO: Final = {
    "school orchard": 2.0,
    "day centre": 2.0,
    "members' own plots": 3.0,
    "library yard": 1.0,
}
_PLANTED_IN: Final = {"the long border": 2.0, "the long fence": 1.0, "the herb slope": 2.0}


@dataclass(slots=True)
class Course:
    """A batch as it goes on; ``rows`` are what was written down of it, by table."""

    stuck: Stuck
    hazards: Hazards
    rows: dict[str, list[Row]]
    luck: Luck
    waiting: int = 0
    #: seen by nobody yet
    new_rooted: int = 0
    new_lost: int = 0
    #: as written down
    n_rooted: int = 0
    n_lost: int = 0
    n_removed: int = 0
    n_lost_rooted: int = 0
    n_potted: int = 0
    pot_on: date | None = None
    potted_on: date = date.min

    @property
    def n_to_pot(self) -> int:
        """Return the rooted ones that still stand where they were stuck."""
        return self.n_rooted - self.n_lost_rooted - self.n_potted

    @property
    def n_waiting(self) -> int:
        """Return what waits still by what is written down."""
        return self.stuck.n_stuck - self.n_rooted - self.n_lost - self.n_removed

    @property
    def is_over(self) -> bool:
        """Return whether nothing waits and nothing is to be potted."""
        return self.n_waiting == 0 and self.n_to_pot == 0

    def write(self, table: str, on: date, **row: object) -> None:
        """Write a row of this batch down."""
        by = self.luck.one(_BY)
        told = {name: str(value) for name, value in row.items() if value not in ("", None)}
        self.rows[table].append({"batch": self.stuck.row["batch"], "on": on.isoformat(), "by": by} | told)


def follow(stuck: Stuck, hazards: Hazards, rows: dict[str, list[Row]]) -> Course:
    """Follow a batch to its end or to the day the garden stands on, writing rows down."""
    course = Course(stuck, hazards, rows, stuck.luck, waiting=stuck.n_stuck)
    give_up = stuck.stuck_on + timedelta(days=round(stuck.patience_days) + stuck.luck.whole(*GRACE_DAYS))
    before = stuck.stuck_on
    for on in _look_days(stuck):
        if course.pot_on and course.pot_on <= on:
            pot(course, course.pot_on)
        if course.is_over:
            break
        _look(course, before, on, is_last=on >= give_up)
        _plan_potting(course, on)
        before = on
    if course.pot_on and course.pot_on < STANDS_ON:
        pot(course, course.pot_on)
    outcomes(course)
    return course


def _look_days(stuck: Stuck) -> Iterator[date]:
    on = stuck.stuck_on
    while True:
        resting = on.month in WINTER and stuck.row["cover"] == "open"
        on += timedelta(days=stuck.luck.whole(8, 14) if resting else stuck.luck.whole(5, 10))
        if on >= STANDS_ON:
            return
        yield on


def _look(course: Course, before: date, on: date, *, is_last: bool) -> None:
    stuck, luck = course.stuck, course.luck
    ages = [(day - stuck.stuck_on).days for day in (before, on)]
    ((rooted, lost, waiting),) = drawn_counts(
        luck.generator, course.hazards, course.waiting, ages[1:], from_day=ages[0]
    )
    course.waiting = int(waiting)
    course.new_rooted += int(rooted)
    course.new_lost += int(lost)
    seen: dict[str, object] = {"signs": _signs(course, ages[1]), "pot_weight": _weight(course)}
    if is_last and course.waiting:
        given_up = course.new_lost + course.waiting
        course.waiting = course.new_lost = 0
        seen |= _counted(course, lost=given_up) | {"cause": "given-up", "note": "bark scratched: no green"}
    elif not course.new_rooted and not course.new_lost and luck.happens(0.35):
        pass  # looked only
    elif luck.happens(0.07) and course.waiting + course.new_rooted >= 8:
        seen |= _tried(course)
    elif luck.happens(0.93):
        cause = _cause(course, before, on)
        seen |= _counted(course, lost=course.new_lost) | {"cause": cause}
        seen |= _further(course, cause)
    course.write("looks", on, **seen)


def _counted(course: Course, *, lost: int) -> dict[str, object]:
    """Write down what is new; newly rooted and newly lost are then seen."""
    rooted, course.new_rooted, course.new_lost = course.new_rooted, 0, 0
    course.n_rooted += rooted
    course.n_lost += lost
    told: dict[str, object] = {"n_rooted": rooted, "n_lost": lost}
    if course.luck.happens(0.6):
        told["n_waiting"] = course.n_waiting
    return told


def _further(course: Course, cause: str) -> dict[str, object]:
    """Return what seldom happens beside: rooted ones lost, waiting ones taken away."""
    told: dict[str, object] = {}
    if course.n_to_pot >= POT_UP_AT and course.luck.happens(0.02):
        course.n_lost_rooted += 1
        told |= {"n_lost_rooted": 1, "cause": cause or "disturbed"}
    elif course.waiting >= 8 and course.luck.happens(0.01):
        course.n_removed += 2
        course.waiting -= 2
        told |= {"n_removed": 2, "note": "two given to a neighbour to try on a windowsill", "n_waiting": ""}
    return told


def _tried(course: Course) -> dict[str, object]:
    tried = course.luck.whole(3, 5)
    share = course.new_rooted / (course.waiting + course.new_rooted)
    rooted = sum(course.luck.happens(share) for _ in range(tried))
    return {"n_tried": tried, "n_tried_rooted": min(rooted, course.new_rooted)}


def _signs(course: Course, age: int) -> str:
    luck, found = course.luck, []
    n_rooted = course.n_rooted + course.new_rooted
    if luck.happens(0.35 if n_rooted else 0.06 if age > 14 else 0):
        found.append("new-leaf")
    if course.stuck.leaf.leaves != "none" and 3 < age < 25 and luck.happens(0.12):
        found.append("leaf-drop")
    if 9 < age < 60 and not n_rooted and luck.happens(0.2):
        found.append("callus")
    if n_rooted - course.n_potted >= POT_UP_AT and luck.happens(0.3):
        found.append("roots-at-holes")
    return ";".join(found)


def _weight(course: Course) -> str:
    cover = course.stuck.row["cover"]
    if cover == "open" or not course.luck.happens(0.6 if cover == "tent" else 0.35):
        return ""
    return "lighter" if course.luck.happens(0.16) else "same"


def _cause(course: Course, before: date, on: date) -> str:
    if not course.new_lost or course.luck.happens(0.08):
        return ""
    days = [day for day in warmest() if before < day <= on]
    likely = {"rot-from-base": 6.0, "dieback-from-top": 2.0, "dried": 1.0, "mould": 1.0, "unknown": 0.8}
    likely |= {"pest": 0.2, "disturbed": 0.2}
    if any(warmest()[day] >= SCORCH_C for day in days):
        likely["scorched"] = 8.0
    if course.stuck.row["cover"] == "open":
        likely |= {"dried": 5.0, "rot-from-base": 3.0}
        if any(coldest()[day] <= FROST_C for day in days):
            likely["frost"] = 8.0
    return course.luck.one(likely)


def _plan_potting(course: Course, on: date) -> None:
    """Decide on which day what has rooted is potted, once there is enough of it."""
    n_alive = course.n_to_pot + course.n_waiting
    if course.pot_on or course.n_to_pot < min(pot_up_at(n_alive), max(n_alive, 1)):
        return
    first = max(pot_up_day(on, course.stuck.leaf.pot_up), on)
    delay = course.luck.whole(0, 10)
    if first >= FULL_FROM:
        delay += course.luck.whole(0, 9)
    course.pot_on = first + timedelta(days=delay)


def pot(course: Course, on: date) -> None:
    """Pot what has rooted on a day."""
    luck = course.luck
    n = course.n_to_pot
    course.pot_on = None
    if n <= 0:
        return
    if n > 6 and luck.happens(0.1):
        n -= luck.whole(1, 2)
    course.n_potted += n
    course.potted_on = on
    frost = on.month in (10, 11, 12, 1, 2, 3)
    course.write(
        "pottings",
        on,
        n_potted=n,
        container="Pot 1 L" if course.stuck.page.genus in ("Hydrangea", "Rosa") else "Pot 9 cm",
        medium="Potting mix",
        place="Cold frame" if frost else "Nursery bed",
        by=luck.one({"tam": 4, "orla": 2, "bea": 1}),
    )


def outcomes(course: Course) -> None:
    """Write down what the potted plants have become by now."""
    stuck, luck, left = course.stuck, course.luck, course.n_potted
    if left < 1:
        return
    weaned = course.potted_on + timedelta(days=round(stuck.leaf.weaning_days.p50) + luck.whole(1, 7))
    spring = date(course.potted_on.year + 1, 4, 1) + timedelta(days=luck.whole(5, 40))
    finished = stuck.stuck_on + timedelta(days=round(30.4 * stuck.leaf.months_to_finished.p50))
    # what was potted in spring fills its pot by summer; the rest once a winter is behind it
    filled = course.potted_on + timedelta(days=45) if course.potted_on.month in SPRING else spring
    finished = max(finished + timedelta(days=luck.whole(0, 30)), filled + timedelta(days=luck.whole(0, 20)))
    left = _reached(course, weaned, "weaned", left, 0.05, "")
    hard = course.potted_on.month in (9, 10, 11)
    left = _reached(course, spring, "established", left, 0.16 if hard else 0.07, "lost in winter")
    if finished >= STANDS_ON or left < 1:
        return
    out = luck.one({"given": 5, "planted": 3, "sold": 2})
    kept = luck.whole(0, min(2, left - 1))
    to = "plant sale" if out == "sold" else luck.one(_PLANTED_IN if out == "planted" else _GIVEN_TO)
    course.write("outcomes", finished, ready_as="finished", n_reached=left - kept, n_lost=0, fate=out, to=to)
    if kept:
        course.write("outcomes", finished, ready_as="finished", n_reached=kept, fate="kept-as-stock")


def _reached(course: Course, on: date, ready_as: str, left: int, risk: float, note: str) -> int:
    if on >= STANDS_ON or left < 1:
        return left
    lost = sum(course.luck.happens(risk) for _ in range(left))
    if ready_as != "weaned" or course.luck.happens(0.95) or lost:
        told = note if lost else ""
        course.write("outcomes", on, ready_as=ready_as, n_reached=left - lost, n_lost=lost, note=told)
    return left - lost
