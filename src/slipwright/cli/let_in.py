"""Letting somebody in from the machine that serves the pages."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

import click

from slipwright.cli.answer import BadInput, as_json, refusing, say
from slipwright.cli.garden import open_garden, with_garden

#: a link is good for a week at most
MOST_MINUTES = 7 * 24 * 60


@click.command("let-in")
@click.argument("member")
@click.option("--minutes", type=click.IntRange(1, MOST_MINUTES), default=30, show_default=True)
@click.option("--address", default="http://127.0.0.1:8000", show_default=True, help="Where the pages are.")
@with_garden
@as_json
@refusing()
def let_in(
    member: str,
    minutes: int,
    address: str,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """Print a link that signs MEMBER in once: for a first time, or after a lost password.

    Whoever has the link is let in as that member: hand it to nobody else. A link made earlier for them
    ends. They set a password of their own on the page Garden.

    \b
    Example
        slipwright let-in rosa --minutes 60
    """
    shown = _address(address)
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.selectors import member_named
    from slipwright.records.services import make_code, user_of_member

    found = member_named(garden, member)
    user = user_of_member(found)
    if not user.is_active:
        raise BadInput(f"{found.member} was shut out, so there is no link for them")
    now = datetime.now(UTC)
    code = make_code(purpose="sign-in", user=user, now=now, minutes=minutes)
    data = {
        "member": found.member,
        "role": found.role,
        "username": user.username,
        "link": f"{shown}/let-in/{code}",
        "ends_at": (now + timedelta(minutes=minutes)).isoformat(timespec="seconds"),
    }
    text = (
        f"{found}, {found.role}, comes in here, once, within {minutes} minutes: {data['link']}\n"
        f"Their name to sign in with later is {user.username}; they set a password on the page Garden."
    )
    say(data, text, json_wanted=json_wanted)


def _address(asked: str) -> str:
    """Return the address of the pages without a closing slash."""
    try:
        parts = urlsplit(asked)
        is_one = parts.scheme in ("http", "https") and bool(parts.hostname) and not parts.query
    except ValueError:
        is_one = False
    if not is_one:
        raise BadInput(f"--address {asked}: give it as http://127.0.0.1:8000")
    return asked.rstrip("/")
