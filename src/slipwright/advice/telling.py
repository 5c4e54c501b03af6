"""An answer in plain words for a terminal: the sentence first, then numbers, steps and days."""

from __future__ import annotations

from slipwright.advice._wording import (
    WOOD_WORDS,
    counted,
    day_in_words,
    days_in_words,
    likely_days,
    paragraph,
    plain,
    sentence,
    share_range,
    span,
    tenths,
    times_in_ten,
)
from slipwright.advice.answer import Advice, Plan
from slipwright.advice.steps import dose_words
from slipwright.craft.numbers import N_TO_STICK_LIMIT
from slipwright.craft.said import Said, joined
from slipwright.outputs.measures import length_text, volume_text
from slipwright.rooting.dates import FEW, POT_UP_AT, pot_up_at

_LEAVES_WORDS = {
    "kept": "leaves kept",
    "reduced": "leaves cut back",
    "none": "no leaves",
    "optional": "leaves optional",
}
_CUTTING_WORDS = {
    "piece": "pieces of a shoot",
    "tip": "tips",
    "heel": "side shoots with a heel",
    "mallet": "mallets",
    "single-node": "single nodes",
}
_MARGIN = 12


def text_of_advice(advice: Advice) -> str:
    """Return an answer in plain words.

    Parameters
    ----------
    advice : Advice
        The answer.

    Returns
    -------
    str
        Lines of at most 78 signs; the first is the answer.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> text_of_advice(advise(load_handbook(), "rose", on=date(2026, 10, 20), want=5)).splitlines()[0][:4]
    'Yes:'
    """
    lines = [*paragraph(headline(advice)), *paragraph(advice.why), ""]
    plan = advice.plan
    if plan:
        lines += [*_numbers(advice, plan), "", *_steps(plan), "", *_days(advice, plan), ""]
        if plan.saving:
            lines += [*_row("Saving", plan.saving.text), ""]
    lines += _windows(advice)
    said = {caution.key for step in (plan.steps if plan else ()) for caution in step.cautions}
    lines += [
        line for caution in advice.cautions if caution.key not in said for line in _row("Mind", caution.text)
    ]
    rests_on = joined([sentence(advice.basis), advice.still_handbook])
    lines += ["", *_row("Rests on", rests_on)]
    for note in advice.notes:
        lines += _row("Note", note)
    for beside in advice.beside:
        lines += _row("Published", sentence(beside))
    for source in advice.sources:
        if source not in advice.beside:
            lines += _row("Source", sentence(source))
    return "\n".join(lines).replace("\n\n\n", "\n\n").strip() + "\n"


def headline(advice: Advice) -> str:
    """Return the answer in one sentence.

    Parameters
    ----------
    advice : Advice
        The answer.

    Returns
    -------
    str
        A reader who stops here is not misled.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.advice.advise import advise
    >>> from slipwright.handbook import load_handbook
    >>> headline(advise(load_handbook(), "rose", on=date(2026, 7, 1), shoot="budded")).split(",")[0]
    'Not this shoot'
    """
    name = joined([advice.taxon, f"({advice.common_name})" if advice.common_name else ""])
    plan = advice.plan
    if advice.verdict == "unknown":
        called = advice.taxon or Said("that")
        return Said("Not known: no one plant of the handbook is called {name}.", name=called)
    if advice.verdict == "not_allowed":
        return Said("Not allowed: {name} is protected and no licence that holds is recorded.", name=name)
    if advice.asked.shoot == "budded":
        return Said("Not this shoot, of {name}: it is in bud.", name=name)
    if advice.asked.shoot == "flowering":
        return Said("Not this shoot, of {name}: it is in flower.", name=name)
    if plan is None:
        return Said("No: the handbook names no wood of {name} to take in the coming year.", name=name)
    first = joined([_first(advice, plan, name), _chances(advice, plan)], "; ")
    return joined([Said("{words}.", words=first), _out_of_reach(advice, plan)])


def _first(advice: Advice, plan: Plan, name: str) -> str:
    said = {"wood": WOOD_WORDS[plan.leaf.wood], "name": name}
    day = day_in_words(plan.start_on, beside=advice.asked.on)
    if advice.verdict == "soon":
        return Said("Soon: {wood} of {name} from about {day}, not today", **said, day=day)
    if advice.verdict != "yes":
        return Said("No, not now: {wood} of {name} is next, from about {day}", **said, day=day)
    if not (plan.n_to_stick and plan.n_containers):
        return Said("Yes: take {wood} of {name} now", **said)
    return Said(
        "Yes: take {wood} of {name} now, stick {n} in {pots}",
        **said,
        n=plain(plan.n_to_stick, 0),
        pots=counted(plan.n_containers, "pot"),
    )


def _chances(advice: Advice, plan: Plan) -> str:
    """Both chances, where waiting would be clearly better."""
    if advice.better is None:
        return ""
    return Said(
        "about {now} root, but about {later} of {wood} from {day}",
        now=tenths(plan.odds.p_rooted[1]),
        later=tenths(advice.better.p_rooted),
        wood=WOOD_WORDS[advice.better.wood],
        day=day_in_words(advice.better.from_on, beside=advice.asked.on),
    )


def _out_of_reach(advice: Advice, plan: Plan) -> str:
    if plan.n_to_stick is not None:
        return ""
    n = plain(advice.asked.n_wanted, 0)
    return Said("No number to stick gives {n} rooted as surely as asked.", n=n)


def _row(head: str, text: str) -> list[str]:
    return paragraph(text, first=f"{head:<{_MARGIN}}", rest=" " * _MARGIN)


def _numbers(advice: Advice, plan: Plan) -> list[str]:
    leaf, odds = plan.leaf, plan.odds
    nodes = span(leaf.n_nodes.low, leaf.n_nodes.high, "nodes")
    size = f"{length_text(leaf.length_mm.low, leaf.length_mm.high)}, {nodes}"
    low, middle, high = odds.p_rooted
    early, typical, late = odds.weeks_to_root
    rows = [
        ("Take", f"{leaf.wood}, {_CUTTING_WORDS[leaf.cutting]}, {size}, {_LEAVES_WORDS[plan.leaves]}."),
        ("Chance", f"About {tenths(middle)} root; 8 times in 10 {share_range(low, high)}."),
        (
            "Time",
            f"About {plain(typical)} weeks for one cutting that roots; 8 times in 10 "
            f"between {plain(early)} and {plain(late)}.",
        ),
    ]
    if plan.n_to_stick is not None and plan.p_reached is not None and plan.n_containers is not None:
        rows.append(
            (
                "Stick",
                f"{plain(plan.n_to_stick, 0)} to have {plain(advice.asked.n_wanted, 0)} or more rooted, "
                f"{times_in_ten(plan.p_reached)} (wished "
                f"{tenths(advice.asked.assurance)}): {counted(plan.n_containers, 'pot')} of "
                f"{volume_text(plan.pot_l)}, up to {plan.n_per_container} in each.",
            )
        )
    else:
        rows.append(
            (
                "Stick",
                f"No number up to {plain(N_TO_STICK_LIMIT, 0)} reaches it: ask for fewer, "
                "or for less assurance.",
            )
        )
    rows += [("Cover", sentence(step.title)) for step in plan.steps if step.key == "cover"]
    if plan.dose:
        rows.append(("Hormone", sentence(dose_words(plan.dose))))
    return [line for head, text in rows for line in _row(head, text)]


def _steps(plan: Plan) -> list[str]:
    lines = ["How"]
    for number, step in enumerate(plan.steps, 1):
        lines += paragraph(f"{step.title}. {step.text}", first=f"{number:>3}. ")
        for caution in step.cautions:
            lines += paragraph(f"! {caution.text}", first="     ", rest="       ")
    return lines


def _days(advice: Advice, plan: Plan) -> list[str]:
    on = advice.asked.on
    looks = plan.look_on
    every = advice.asked.round_days
    look = (
        f"Every {every} days from {day_in_words(looks[0], beside=on)} to about "
        f"{day_in_words(looks[-1], beside=on)}; give up only after "
        f"{plain(plan.odds.patience_days, 0)} days, and scratch the bark first."
    )
    pot = plan.pot_up_on
    rule = _enough(plan) if pot.rule == "at-once" else ""
    pot_up = likely_days(pot.p10, pot.p90, pot.p_never, beside=on, rule=rule)
    ready = plan.ready_on
    finished = likely_days(ready.p10, ready.p90, ready.p_never, beside=on, rule="as a finished plant")
    rows = [
        ("Look", look),
        ("Pot up", f"{sentence(pot_up)} {plan.leaf.pot_up_note.text}"),
        ("Ready", sentence(finished)),
    ]
    if plan.start_on != on:
        rows.insert(0, ("Then", f"If they are stuck on {day_in_words(plan.start_on, beside=on)}:"))
    return [line for head, text in rows for line in _row(head, text)]


def _enough(plan: Plan) -> str:
    """Say when enough have rooted to be potted, as `pot_up_at` has it."""
    n_stuck = plan.n_to_stick or plan.n_per_container
    if n_stuck <= FEW:
        return "as soon as one has rooted"
    if pot_up_at(n_stuck) == POT_UP_AT:
        return f"when {POT_UP_AT} have rooted"
    return "when a third of those alive have rooted"


def _windows(advice: Advice) -> list[str]:
    lines = []
    on = advice.asked.on
    for window in advice.windows:
        days = days_in_words(window.opens_on, window.closes_on, beside=on)
        lines += _row("Days", f"{window.wood}: {days}; today {tenths(window.p_open)}.")
    bloom = advice.bloom
    if bloom:
        days = days_in_words(bloom.first_on, bloom.last_on, beside=on)
        state = {"clear": "clear of it today", "near": "near it today", "in_bloom": "in bloom today"}
        by = "its records" if bloom.n_own else "the weather" if advice.asked.seen.weather else "the calendar"
        lines += _row("Bloom", f"{days} by {by}; {state[bloom.state]}.")
    return lines
