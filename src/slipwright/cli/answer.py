"""How a command answers: plain words, or one JSON object; and how it refuses."""

from __future__ import annotations

import functools
import json
import os
from collections.abc import Callable
from datetime import date
from typing import IO, Any, ParamSpec, TypeVar

import click

P = ParamSpec("P")
R = TypeVar("R")

#: signs that could move a terminal's cursor, change its colours or turn its text round
_UNSEEN = {
    code: f"\\u{code:04x}"
    for code in (
        *range(9),
        *range(11, 32),
        *range(127, 160),
        0x061C,
        0x200E,
        0x200F,
        *range(0x202A, 0x202F),
        *range(0x2066, 0x206A),
    )
}


def visible(text: str) -> str:
    """Return ``text`` with control signs written out, so that a name cannot play with the terminal."""
    return text.translate(_UNSEEN)


def counted(n: int, one: str, many: str = "") -> str:
    """Return a number and what it counts, as "1 bad line" and "2 bad lines".

    >>> counted(1, "bad line"), counted(1200, "bad line"), counted(2, "entry", "entries")
    ('1 bad line', '1,200 bad lines', '2 entries')
    """
    return f"{n:,} {one if n == 1 else many or one + 's'}"


class BadInput(click.ClickException):
    """Something given to a command will not do: what, where, and how to mend it. Exit status 2."""

    exit_code = 2

    def show(self, file: IO[Any] | None = None) -> None:
        """Write the words to the standard error output."""
        click.echo(f"slipwright: {visible(self.format_message())}", err=True)


class Day(click.ParamType[date]):
    """A calendar date, ISO 8601."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Return the date that ``value`` names."""
        if isinstance(value, date):
            return value
        text = str(value)
        try:
            if len(text) != len("2026-09-10"):
                raise ValueError
            return date.fromisoformat(text)
        except ValueError:
            self.fail(f"{text!r} is not a date such as 2026-09-10", param, ctx)


DAY = Day()
#: where a command keeps the day its garden's clock stands at
STANDS_ON = "slipwright.stands_on"


def latitude(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    """Return the latitude of ``LAT,LON``; the longitude changes nothing in the handbook's months."""
    if value is None:
        return None
    try:
        north, east = (float(part) for part in value.split(","))
    except ValueError:
        raise click.BadParameter(f"{value!r}: give LAT,LON as 41.0,-72.5", ctx, param) from None
    if not (-90 <= north <= 90 and -180 <= east <= 180):
        raise click.BadParameter(f"{value!r}: latitude is -90 to 90, longitude -180 to 180", ctx, param)
    return north


def with_place(command: Callable[P, R]) -> Callable[P, R]:
    """Give a command the option ``--at``."""
    return click.option(
        "--at", "latitude_deg", callback=latitude, metavar="LAT,LON", help="Where, as 41.0,-72.5."
    )(command)


def today() -> date:
    """Return today: ``SLIPWRIGHT_TODAY``, the day the opened garden stands at, or the clock."""
    text = os.environ.get("SLIPWRIGHT_TODAY", "")
    if not text:
        ctx = click.get_current_context(silent=True)
        stands_on = ctx and ctx.meta.get(STANDS_ON)
        if isinstance(stands_on, date):
            return stands_on
        return date.today()  # noqa: DTZ011 (the day where the command is typed)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"SLIPWRIGHT_TODAY is {text!r}; give a date such as 2026-09-10") from None


def as_json(command: Callable[P, R]) -> Callable[P, R]:
    """Give a command the option ``--json``."""
    return click.option("--json", "json_wanted", is_flag=True, help="Answer with one JSON object.")(command)


def say(data: dict[str, Any], text: str, *, json_wanted: bool) -> None:
    """Write the answer in the form that was asked for."""
    click.echo(visible(json.dumps(data, ensure_ascii=False, indent=2) if json_wanted else text))


def as_typed(error: Exception) -> str:
    """Return the words of an error, with the argument it blames as it is typed: --stuck, not n_stuck."""
    text, ctx = str(error), click.get_current_context(silent=True)
    blamed = getattr(error, "argument", "") or getattr(error, "column", "")
    if not blamed and "_" in (first := text.partition(" ")[0]):
        blamed = first.rstrip(":")
    if ctx is None or not blamed or not text.startswith(blamed):
        return text
    for param in ctx.command.params:
        if param.name == blamed:
            typed = param.opts[0] if isinstance(param, click.Option) else blamed.upper()
            return typed + text[len(blamed) :]
    return text


def refusing(*errors: type[Exception]) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Turn errors that blame the input into ``BadInput``; ``ValueError`` always is one."""
    caught: tuple[type[Exception], ...] = (ValueError, *errors)

    def around(command: Callable[P, R]) -> Callable[P, R]:
        @functools.wraps(command)
        def inner(*args: P.args, **kwargs: P.kwargs) -> R:
            try:
                return command(*args, **kwargs)
            except OverflowError as error:
                raise BadInput(f"a date or number lies too far off to reckon with ({error})") from error
            except caught as error:
                raise BadInput(as_typed(error)) from error

        return inner

    return around
