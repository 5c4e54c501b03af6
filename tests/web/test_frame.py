"""The frame of every page: who is let in, what the headers say."""

from __future__ import annotations

import os
import re
import subprocess
import sys

from django.test import Client
from django.urls import URLPattern

from slipwright.records import roles
from slipwright.records.models import Garden
from slipwright.web.urls import urlpatterns

CSP = {
    "default-src 'self'",
    "img-src 'self' blob:",
    "object-src 'none'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
    "form-action 'self'",
}


def test_every_page_says_whom_it_is_open_to() -> None:
    for pattern in urlpatterns:
        assert isinstance(pattern, URLPattern)
        assert pattern.callback.access in {"open", "member", *roles.ACTS}, pattern.name


def test_a_stranger_is_sent_to_the_door(garden: Garden) -> None:
    answer = Client(HTTP_HOST="127.0.0.1").get("/batches")
    assert answer.status_code == 302


def test_every_answer_carries_the_policy(client: Client) -> None:
    for address in ("/", "/nowhere", "/one-pot"):
        answer = client.get(address)
        assert {part.strip() for part in answer["Content-Security-Policy"].split(";")} == CSP
        assert answer["X-Content-Type-Options"] == "nosniff"


def test_a_foreign_host_is_refused(client: Client) -> None:
    assert client.get("/", HTTP_HOST="elsewhere.example").status_code == 400


def test_what_breaks_is_told_on_stderr_with_debug_off_too() -> None:
    script = (
        "import logging, django; django.setup(); "
        "logging.getLogger('django.request').error('Internal Server Error: /garden')"
    )
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "slipwright.config.settings"}
    told = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, text=True, check=True)
    assert told.stderr.count("Internal Server Error: /garden") == 1


def test_a_page_asks_for_one_script_and_holds_the_others_back(client: Client) -> None:
    for address in ("/", "/stick", "/one-pot", "/batches", "/sign-in"):
        page = client.get(address, follow=True).content.decode()
        shown = re.sub(r"<template.*?</template>", "", page, flags=re.DOTALL)
        scripts = re.findall(r"<script[^>]+/js/([^\"]+)\"", shown)
        assert [name.partition(".")[0] for name in scripts] == ["first"], address
        assert "/js/outbox/phone." in page, address
