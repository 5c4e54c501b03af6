"""The settings as this machine, a network without https and one with it get them."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys

import pytest

#: told of pages without https: no HSTS, no redirect to https, cookies sent without it
LAN_EXCEPTIONS = {"security.W004", "security.W008", "security.W012", "security.W016"}
HOSTS = "shed.home.arpa,192.168.1.20"


def told_by(script: str, **env: str) -> str:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("SLIPWRIGHT")}
    env |= {
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "SLIPWRIGHT_SECRET_KEY": "Zr5mY1cQ8uH3wT6vKp0aXeBn9dLgSfJi2oC4tRqMyUxWlDhE7bVzNAkG",
        "SLIPWRIGHT_DATABASE_URL": "sqlite:////nonexistent/garden.sqlite3",
        "SLIPWRIGHT_HOSTS": HOSTS,
        "PYTHONPATH": os.pathsep.join(sys.path),
    }
    done = subprocess.run(
        [sys.executable, "-c", f"import django; django.setup()\n{script}"],
        env=kept | env,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


CHECK = "from django.core.management import call_command; call_command('check', '--deploy')"


def test_with_https_the_deploy_check_warns_of_nothing() -> None:
    assert re.findall(r"security\.W\d+", told_by(CHECK, SLIPWRIGHT_HTTPS="1")) == []


def test_without_https_it_warns_of_exactly_that() -> None:
    assert set(re.findall(r"security\.W\d+", told_by(CHECK))) == LAN_EXCEPTIONS


def of(names: str, **env: str) -> dict[str, object]:
    script = (
        "import json; from django.conf import settings\n"
        f"print(json.dumps({{name: getattr(settings, name, None) for name in {names.split()!r}}}))"
    )
    found: dict[str, object] = json.loads(told_by(script, **env))
    return found


COOKIES = "SESSION_COOKIE_NAME CSRF_COOKIE_NAME SESSION_COOKIE_SECURE CSRF_COOKIE_SECURE"


def test_with_https_cookies_are_bound_to_this_host_and_to_https() -> None:
    found = of(COOKIES + " SESSION_COOKIE_DOMAIN SESSION_COOKIE_PATH", SLIPWRIGHT_HTTPS="1")
    assert str(found["SESSION_COOKIE_NAME"]).startswith("__Host-session-")
    assert str(found["CSRF_COOKIE_NAME"]).startswith("__Host-csrf-")
    assert found["SESSION_COOKIE_SECURE"] is found["CSRF_COOKIE_SECURE"] is True
    assert (found["SESSION_COOKIE_DOMAIN"], found["SESSION_COOKIE_PATH"]) == (None, "/")
    assert not any(str(value).startswith("__Host-") for value in of(COOKIES).values())


def test_with_https_browsers_are_bound_to_it_for_a_year_and_names_below_are_not() -> None:
    names = "SECURE_HSTS_SECONDS SECURE_HSTS_INCLUDE_SUBDOMAINS SECURE_SSL_REDIRECT"
    assert list(of(names, SLIPWRIGHT_HTTPS="1").values()) == [365 * 24 * 3600, False, True]
    assert list(of(names).values()) == [0, False, False]


@pytest.mark.parametrize(("proxy", "trusted"), [("1", ["HTTP_X_FORWARDED_PROTO", "https"]), ("", None)])
def test_a_server_in_front_is_believed_only_where_one_was_named(proxy: str, trusted: object) -> None:
    assert of("SECURE_PROXY_SSL_HEADER", SLIPWRIGHT_PROXIES=proxy) == {"SECURE_PROXY_SSL_HEADER": trusted}
