"""Serving a network: who listens where, by which certificate, and what is told of it."""

from __future__ import annotations

import re
import socket
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click
import pytest
import zxingcpp
from PIL import Image

from slipwright.certificates import Hosts, Kept
from slipwright.cli import lan, serve
from slipwright.cli.answer import BadInput
from slipwright.cli.listeners import Listener

Run = Callable[..., Any]
NAME = "shed.home.arpa"
ROOT = Path(__file__).parents[2]


@pytest.fixture
def not_run(monkeypatch: pytest.MonkeyPatch, folder: Path) -> dict[str, Any]:
    """Keep ``serve`` from starting its children; give what it would have started."""
    seen: dict[str, Any] = {}

    def run(children: Any, env: Any, **more: Any) -> str:
        seen.update(children=children, env=env, **more)
        return ""

    monkeypatch.setattr(serve, "run_together", run)
    # no port is asked for: an address of a network is not this machine's here
    monkeypatch.setattr(Listener, "require_free", lambda self: None)
    return seen


def given_to(command: list[str], option: str) -> str:
    return command[command.index(option) + 1] if option in command else ""


def test_without_tls_it_listens_here_and_there_and_says_what_that_means(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path
) -> None:
    said = run("serve", "--lan", "--address", "192.168.1.20", "--name", NAME).output
    here, there = not_run["children"]["the pages"], not_run["children"]["the pages on the network"]
    assert given_to(here, "--host") == "127.0.0.1"
    assert given_to(there, "--host") == "192.168.1.20"
    assert not given_to(there, "--ssl-certificate")
    assert not_run["own"]["the pages on the network"]["SLIPWRIGHT_HOSTS"] == f"{NAME},192.168.1.20"
    assert "SLIPWRIGHT_HOSTS" not in not_run["own"]["the pages"]
    assert "On the network: http://192.168.1.20:8000/" in said
    assert "anybody near can read along" in said
    assert "Set it up at http://127.0.0.1:8000/set-up" in said
    assert not folder.exists()


def test_with_tls_it_serves_by_an_authority_of_its_own_and_shows_what_to_compare(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path
) -> None:
    said = run("serve", "--lan", "--tls", "--address", "192.168.1.20", "--name", NAME).output
    there = not_run["children"]["the pages on the network"]
    assert given_to(there, "--ssl-certificate") == given_to(there, "--ssl-keyfile") == f"{folder}/served.pem"
    own = not_run["own"]
    assert own["the pages on the network"]["SLIPWRIGHT_HTTPS"] == "1"
    assert own["the pages"]["SLIPWRIGHT_HTTPS"] == "0"
    trust = not_run["children"]["the page of the authority"]
    assert given_to(trust, "--port") == "8001"
    assert not given_to(trust, "--ssl-certificate")
    assert own["the page of the authority"]["SLIPWRIGHT_ONLY_TRUST"] == "1"
    assert own["the page of the authority"]["SLIPWRIGHT_HTTPS"] == "0"
    assert f"On the network: https://{NAME}:8000/" in said
    assert "http://192.168.1.20:8001/trust" in said
    assert re.search(r"\(SHA-256\):( [0-9A-F]{4}){16}\n", said)
    assert f"{NAME} and 192.168.1.20 alone" in said
    assert set(not_run["anew"]) == {"the pages on the network"}


def test_for_another_name_it_asks_for_a_new_authority_and_touches_nothing(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path
) -> None:
    asked = ("serve", "--lan", "--tls", "--address", "192.168.1.20", "--name")
    run(*asked, NAME)
    before = (folder / "authority.pem").read_bytes()
    refused = run(*asked, "barn.home.arpa", code=2)
    assert "--new-authority" in refused.stderr
    assert (folder / "authority.pem").read_bytes() == before
    assert "barn.home.arpa and 192.168.1.20 alone" in run(*asked, "barn.home.arpa", "--new-authority").output


def test_at_another_address_it_goes_on_by_its_name_and_says_so(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path
) -> None:
    run("serve", "--lan", "--tls", "--address", "192.168.1.20", "--name", NAME)
    said = run("serve", "--lan", "--tls", "--address", "192.168.1.77", "--name", NAME).output
    assert "phones must use the name shed.home.arpa" in said
    leaf = Kept(folder).leaf()
    assert leaf is not None
    assert leaf.hosts == Hosts((NAME,))


def test_a_certificate_of_ones_own_is_served_under_its_name(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path, tmp_path: Path
) -> None:
    kept = Kept(tmp_path / "elsewhere")
    kept.ready(Hosts((NAME,)), now=datetime.now(UTC))
    own = str(kept.served_file)
    said = run("serve", "--lan", "--tls", "--address", "192.168.1.20", "--cert", own, "--key", own).output
    assert f"On the network: https://{NAME}:8000/" in said
    assert not_run["own"]["the pages on the network"]["SLIPWRIGHT_HOSTS"] == NAME
    assert "the page of the authority" not in not_run["children"]
    assert not folder.exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--tls"], "go with --lan"),
        (["--name", NAME], "go with --lan"),
        (["--lan", "--new-authority"], "go with --tls"),
        (["--lan", "--tls", "--cert", __file__], "--cert and --key go together"),
        (["--lan", "--address", "0.0.0.0"], "the one address of this machine"),
        (["--lan", "--address", "8.8.8.8"], "anybody on the internet could reach it"),
        (["--lan", "--address", "shed"], "is not an address"),
        (["--lan", "--address", "127.0.0.1", "--name", "wet hands"], "--name wet hands"),
        (["--lan", "--tls", "--address", "127.0.0.1", "--name", "shed"], "'shed' is not a name"),
    ],
)
def test_what_will_not_do_is_refused_before_anything_is_done(
    nothing_yet: Path, not_run: dict[str, Any], run: Run, folder: Path, words: list[str], said: str
) -> None:
    assert said in run("serve", *words, code=2).stderr
    assert not not_run
    assert not folder.exists()
    assert not nothing_yet.exists()


def test_the_next_port_must_be_free_for_the_page_of_the_authority(
    nothing_yet: Path, run: Run, folder: Path, port: int
) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", port + 1))
        taken.listen()
        words = ("--lan", "--tls", "--name", NAME, "--address", "127.0.0.1", "--port", port)
        assert f"--port {port + 1}" in run("serve", *words, code=2).stderr
    assert not folder.exists()


def test_without_the_package_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "slipwright.certificates", None)
    asked = lan.asked(NAME, "127.0.0.1", 8000, tls=True, given=(None, None), new_authority=False)
    with pytest.raises(BadInput, match=r"slipwright\[tls\]"):
        lan.network(asked)


def test_a_machine_has_a_name_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    for named, shown in (("Potting_Shed.lan", "potting-shed.local"), ("--", "slipwright.local")):
        monkeypatch.setattr(socket, "gethostname", lambda named=named: named)
        assert lan.own_name() == shown
        assert Hosts((lan.own_name(),))


def test_the_code_in_the_terminal_is_read_by_a_machine(tmp_path: Path) -> None:
    text = "http://192.168.1.20:8001/trust"
    blocks = click.unstyle(lan.qr_in_blocks(text)).split("\n")
    halves = {" ": (255, 255), "▀": (0, 255), "▄": (255, 0), "█": (0, 0)}
    picture = Image.new("L", (len(blocks[0]), 2 * len(blocks)))
    for y, line in enumerate(blocks):
        for x, sign in enumerate(line):
            picture.putpixel((x, 2 * y), halves[sign][0])
            picture.putpixel((x, 2 * y + 1), halves[sign][1])
    large = picture.resize((8 * picture.width, 8 * picture.height))
    assert [found.text for found in zxingcpp.read_barcodes(large)] == [text]
