"""Serving the pages, and the helper beside them."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from slipwright.cli.answer import BadInput, refusing
from slipwright.cli.bar import Bar
from slipwright.cli.certificate import certificates_folder, loads_together, renewed
from slipwright.cli.children import run_together, stopping
from slipwright.cli.garden import reading, start_django
from slipwright.cli.lan import PLAIN, Lan, Network, can_show, network, qr_in_blocks
from slipwright.cli.lan import asked as lan_asked
from slipwright.cli.listeners import Listener

WORKERS, BLOCKING_THREADS = 2, 4
#: minutes a code to set up with is good for
SET_UP_MINUTES = 24 * 60
#: seconds between two passes of the helper
PASS_S = 2.0
LOOPBACK = {"127.0.0.1": "127.0.0.1", "localhost": "127.0.0.1", "::1": "::1"}

_GIVEN = click.Path(exists=True, dir_okay=False, path_type=Path)
_FILE = click.option(
    "--garden",
    "garden_file",
    type=click.Path(dir_okay=False, path_type=Path),
    help="File the garden is kept in, instead of the usual one.",
)


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="This machine only.")
@click.option("--port", type=click.IntRange(1, 65534), default=8000, show_default=True)
@click.option("--lan", is_flag=True, help="Serve the phones of your own network too.")
@click.option("--tls", is_flag=True, help="With --lan: over https, by an authority of the garden's own.")
@click.option("--name", help="Name phones reach this machine by; else its own, and .local.")
@click.option("--address", metavar="IP", help="Address of this machine on the network; else found.")
@click.option("--cert", type=_GIVEN, help="A certificate of your own, PEM, with those above it.")
@click.option("--key", type=_GIVEN, help="The key of --cert, PKCS #8.")
@click.option("--new-authority", is_flag=True, help="Draw a new authority; each phone must trust it anew.")
@_FILE
@refusing(OSError)
@click.pass_context
def serve(
    ctx: click.Context,
    host: str,
    port: int,
    name: str | None,
    address: str | None,
    cert: Path | None,
    key: Path | None,
    garden_file: Path | None,
    *,
    lan: bool,
    tls: bool,
    new_authority: bool,
) -> None:
    """Serve the pages on this machine until you stop it with Ctrl-C.

    A garden that is not there yet is made; an older one is brought up to date, after a backup. As long
    as nobody can sign in, a code to set up with is shown, good for 24 hours and for one use.

    \b
    Example
        slipwright serve --port 8080
        slipwright serve --lan --tls --name shed.home.arpa
    """
    if host not in LOOPBACK:
        raise BadInput(f"--host {host}: that is this machine only, as 127.0.0.1. For phones there is --lan")
    if not lan and (tls or name or address or cert or key or new_authority):
        raise BadInput("--tls, --name, --address, --cert, --key and --new-authority go with --lan")
    asked = None
    if lan:
        asked = lan_asked(name, address, port, tls=tls, given=(cert, key), new_authority=new_authority)
    here = Listener(LOOPBACK[host], port, WORKERS, BLOCKING_THREADS)
    _require_free(here, asked)
    start_django(garden_file)
    outside = network(asked) if asked else None
    with reading(garden_file):
        code = _prepared()
    listeners = _listeners(here, outside)
    shown = listeners["the pages"].url
    click.echo(f"Slipwright is at {shown}/  (Ctrl-C stops it)")
    if outside:
        _tell_of(outside)
    if code:
        click.echo(f"Nobody can sign in yet. Set it up at {shown}/set-up with the code {code}")
        click.echo("It is good for 24 hours and for one use.")
    ended = run_together(
        {name: one.command() for name, one in listeners.items()}
        | {"the helper": [sys.executable, "-m", "slipwright.cli", "work"]},
        os.environ | {"SLIPWRIGHT_WEB": "1"},
        own={name: one.env for name, one in listeners.items()},
        anew=_anew(listeners, outside),
    )
    if ended:
        click.echo(f"slipwright: {ended} stopped by itself, so all was stopped", err=True)
        ctx.exit(1)


def _require_free(here: Listener, asked: Lan | None) -> None:
    here.require_free()
    if asked:
        Listener(str(asked.address), asked.port).require_free()
        if asked.is_tls and not asked.given:
            Listener(str(asked.address), asked.port + 1).require_free()


def _listeners(here: Listener, outside: Network | None) -> dict[str, Listener]:
    """Return who listens where; one listener does where this machine alone was named for the network."""
    if outside is None:
        return {"the pages": here}
    trust = {"the page of the authority": outside.trust} if outside.trust else {}
    if outside.pages.address == here.address:
        return {"the pages": outside.pages} | trust
    env = {"SLIPWRIGHT_AUTHORITY": str(outside.authority_file)} if outside.authority_file else {}
    # a code that lets a phone in is shown on this machine, and opened on the network
    env["SLIPWRIGHT_PAGES_AT"] = outside.pages.env["SLIPWRIGHT_PAGES_AT"]
    small = replace(here, workers=1, env=env | PLAIN)
    return {"the pages": small, "the pages on the network": outside.pages} | trust


def _tell_of(outside: Network) -> None:
    for line in outside.told:
        click.echo(line)
    blocks = qr_in_blocks(outside.code)
    if can_show(blocks):
        click.echo(blocks)


def _anew(listeners: Mapping[str, Listener], outside: Network | None) -> dict[str, Callable[[], bool]]:
    """Return who must be told when a certificate was renewed, and how that is seen."""
    if not outside or not outside.watched:
        return {}
    seen = [_stamps(outside.watched)]

    def is_renewed() -> bool:
        stamps = _stamps(outside.watched)
        if stamps == seen[0] or not loads_together(*outside.watched):
            return False
        seen[0] = stamps
        return True

    return {name: is_renewed for name, one in listeners.items() if one.certificate}


def _stamps(files: Iterable[Path]) -> list[tuple[int, int]]:
    return [(stat.st_mtime_ns, stat.st_size) for file in files if file.exists() and (stat := file.stat())]


def _prepared() -> str:
    """Make database and pages ready, and return the code to set up with if nobody can sign in."""
    from django.conf import settings
    from django.core.management import call_command

    from slipwright.records.keeping.schema import migrate
    from slipwright.records.keeping.soundness import require_sound
    from slipwright.records.selectors import nobody_in_charge
    from slipwright.records.services import make_code

    now = datetime.now(UTC)
    require_sound(now=now)
    done = migrate(now=now)
    if done.backup:
        click.echo(f"The garden was brought up to date. The copy made first: {done.backup}")
    if not os.environ.get("SLIPWRIGHT_SECRET_KEY"):
        os.environ["SLIPWRIGHT_SECRET_KEY"] = settings.SECRET_KEY = secret_key(_key_file())
    call_command("collectstatic", verbosity=0, interactive=False)
    code = make_code(purpose="set-up", now=now, minutes=SET_UP_MINUTES) if nobody_in_charge() else ""
    from django.db import connections

    connections.close_all()
    return code


def _key_file() -> Path:
    import platformdirs

    return Path(platformdirs.user_data_path("slipwright")) / "secret-key"


def secret_key(file: Path) -> str:
    """Return the key kept in ``file``; it is drawn and kept, for its owner's eyes only, where none is.

    It is written whole under another name first: two that start at once take the same key.
    """
    import secrets

    if not file.exists():
        file.parent.mkdir(parents=True, exist_ok=True)
        beside = file.with_name(f".{file.name}.{os.getpid()}.{secrets.token_hex(4)}")
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        try:
            with os.fdopen(handle, "w", encoding="ascii") as new:
                new.write(secrets.token_urlsafe(48))
                new.flush()
                os.fsync(new.fileno())
            try:
                os.link(beside, file)
            except FileExistsError:
                pass  # another was quicker: its key is the key
            except OSError:
                os.replace(beside, file)  # a file system without links
        finally:
            beside.unlink(missing_ok=True)
    key = file.read_text(encoding="ascii").strip()
    if len(key) < 32:
        raise BadInput(f"{file} holds no key; remove it, and a new one is drawn (all will have to sign in)")
    return key


@click.command()
@click.option("--once", is_flag=True, help="One pass, then end.")
@_FILE
@refusing(OSError)
def work(garden_file: Path | None, *, once: bool) -> None:
    """Keep what the pages show fresh: what was learned, forecasts, the log of writes, ended codes.

    It learns from the garden's looks again once nothing was written for ten seconds, at most once a
    minute, and each night from the beginning. It makes the programmes that pages ask for. It copies the
    garden once a day too, and lets older copies make room.

    slipwright serve runs it beside the pages. Every 2 seconds until it is stopped.

    \b
    Example
        slipwright work --once
    """
    start_django(garden_file)
    from slipwright.handbook import load_handbook
    from slipwright.records.keeping.helper import Helper
    from slipwright.records.keeping.planning import QUIET as QUIET_PLANNING
    from slipwright.records.keeping.planning import Planning
    from slipwright.records.keeping.relearning import QUIET, Relearning
    from slipwright.records.keeping.schema import require_current

    with reading(garden_file):
        require_current()
    learns = Relearning(_LearningTold(), timedelta(0) if once else QUIET)
    with stopping() as stop:
        quiet_for = timedelta(0) if once else QUIET_PLANNING
        plans = Planning(_told, load_handbook, quiet_for, stop, apart=True)
        helper = Helper(_told, makes_copies=True, learns=learns, plans=plans)
        if once:
            _passes(helper.one_pass, stop, once=True)
            plans.one_pass()
        else:
            with plans.beside():
                _passes(helper.one_pass, stop, once=False)


def _told(fault: str) -> None:
    click.echo(f"slipwright work: {fault}", err=True)


class _LearningTold:
    """Tells how far the helper has come with learning: a bar for each time that takes long."""

    def __init__(self) -> None:
        self._bar: Bar | None = None

    def __call__(self, done: int, total: int, label: str) -> None:
        if self._bar is None:
            self._bar = Bar()
        self._bar(done, total, label)
        if done >= total:
            self._bar.close()
            self._bar = None


def _passes(one_pass: Callable[..., int], stop: threading.Event, *, once: bool) -> None:
    looked_at: datetime | None = None
    while True:
        now = datetime.now(UTC)
        one_pass(now=now)
        if looked_at is None or abs(now - looked_at) >= timedelta(hours=1):
            looked_at = now
            if said := renewed(certificates_folder(), now):
                _told(said)
        if once or stop.wait(PASS_S):
            return
