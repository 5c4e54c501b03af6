"""A network of its own, made for the test and seen by nobody else: who is answered where, and how."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ADDRESS = "192.168.1.20"
#: run inside the network: serves, asks, and prints what was answered
INSIDE = """
import json, ssl, subprocess, sys, time, urllib.request

folder, *words = sys.argv[1:]
command = [sys.executable, "-m", "slipwright.cli", "serve", "--lan", "--name", "shed.home.arpa", *words]
said = open(f"{folder}/said.txt", "w")
served = subprocess.Popen(command, stdout=said, stderr=said)


def ask(address):
    context = ssl.create_default_context()
    if address.startswith("https"):
        context.load_verify_locations(f"{folder}/certificates/garden-authority.crt")
    try:
        with urllib.request.urlopen(address, context=context, timeout=10) as answer:
            return [answer.status, answer.read().decode(), dict(answer.headers)]
    except urllib.error.HTTPError as error:
        with error:
            return [error.code, error.read().decode(), dict(error.headers)]
    except OSError as error:
        return [0, repr(error), {}]


try:
    last = "http://192.168.1.20:8001/trust" if "--tls" in words else "http://192.168.1.20:8000/one-pot"
    for address in ("http://127.0.0.1:8000/one-pot", last):
        until = time.monotonic() + 60
        while ask(address)[0] != 200 and served.poll() is None and time.monotonic() < until:
            time.sleep(0.1)
    print(json.dumps({address: ask(address) for address in json.load(sys.stdin)}))
finally:
    served.terminate()
    served.wait()
"""


@pytest.fixture
def asked(tmp_path: Path, need_program: Callable[[str], str]) -> Callable[..., dict[str, list[Any]]]:
    """Give a function that serves inside a network and returns what some addresses answered."""
    ip, unshare = need_program("ip"), need_program("unshare")
    (tmp_path / "inside.py").write_text(INSIDE)

    def ask(addresses: list[str], *words: str) -> dict[str, list[Any]]:
        made = f"{ip} link set lo up && {ip} address add {ADDRESS}/24 dev lo"
        made += f" && {ip} route add default dev lo src {ADDRESS}"
        env = {name: value for name, value in os.environ.items() if not name.startswith("SLIPWRIGHT")} | {
            "SLIPWRIGHT_DATABASE_URL": f"sqlite:///{tmp_path}/garden.sqlite3",
            "SLIPWRIGHT_SECRET_KEY": "only for tests: signs nothing that leaves them",
            "SLIPWRIGHT_STATIC": str(tmp_path / "static"),
            "SLIPWRIGHT_CERTIFICATES": str(tmp_path / "certificates"),
            "PYTHONPATH": os.pathsep.join(sys.path),
        }
        inside = [sys.executable, str(tmp_path / "inside.py"), str(tmp_path), *words]
        done = subprocess.run(
            [unshare, "--map-root-user", "--net", "sh", "-c", f'{made} && exec "$@"', "sh", *inside],
            env=env,
            input=json.dumps(addresses),
            capture_output=True,
            text=True,
            timeout=200,
        )
        if done.returncode and "unshare" in done.stderr and os.environ.get("ALLOW_SKIP") == "1":
            pytest.skip("no network of one's own may be made here")
        said = tmp_path / "said.txt"
        assert done.returncode == 0, done.stderr + (said.read_text() if said.exists() else "")
        answers: dict[str, list[Any]] = json.loads(done.stdout)
        return answers

    return ask


def test_without_tls_the_machine_itself_is_private_and_its_network_is_not(
    asked: Callable[..., dict[str, list[Any]]], tmp_path: Path
) -> None:
    here, there = "http://127.0.0.1:8000", f"http://{ADDRESS}:8000"
    # the address is found, not given
    told = asked([f"{here}/set-up", f"{there}/set-up", f"{there}/one-pot", f"{there}/trust"])
    assert told[f"{here}/set-up"][0] == 200
    assert 'name="code"' in told[f"{here}/set-up"][1]
    assert told[f"{there}/set-up"][0] == 403
    assert 'class="banner overheard' in told[f"{there}/one-pot"][1]
    assert "overheard" not in told[f"{here}/set-up"][1]
    assert told[f"{there}/trust"][0] == 404
    assert f"On the network: {there}/" in (tmp_path / "said.txt").read_text()


def test_with_tls_the_network_is_private_too(asked: Callable[..., dict[str, list[Any]]]) -> None:
    here, there, trust = "http://127.0.0.1:8000", f"https://{ADDRESS}:8000", f"http://{ADDRESS}:8001"
    told = asked([f"{here}/set-up", f"{there}/set-up", f"{trust}/trust", f"{trust}/set-up"], "--tls")
    for address in (here, there):
        status, page, headers = told[f"{address}/set-up"]
        assert status == 200, page
        assert "overheard" not in page
        assert ("strict-transport-security" in headers) is (address == there)
    assert told[f"{trust}/trust"][0] == 200
    assert "https://shed.home.arpa:8000/" in told[f"{trust}/trust"][1]
    assert told[f"{trust}/set-up"][0] == 404
