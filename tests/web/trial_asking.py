"""Asking for a trial as its form does."""

from __future__ import annotations

import uuid
from html import unescape
from typing import Any

from django.http import HttpResponse
from django.test import Client

from tests.records.answers.trial_making import NAME


def said_on(answer: Any) -> str:
    """Return the words of a page in one line."""
    return " ".join(unescape(answer.content.decode()).split())


def plan_it(client: Client, **said: Any) -> HttpResponse:
    """Send the form of a plan, with some fields otherwise."""
    form = {
        "entry_id": str(uuid.uuid4()),
        "seed": "12",
        "plant": "rose-gate",
        "differs": "auxin",
        "trial": NAME,
        "question": "Does the dip help?",
        "way": "method rose-autumn",
        "arm_A": "none",
        "arm_B": "iba",
        "form_B": "talc",
        "strength_B": "3000",
        "usual": "50",
        "matters": "25",
        "n_per_unit": "6",
        "units_per_arm": "4",
        "weeks": "12",
        "do": "fix",
    }
    return client.post("/trials/new", {**form, **said})  # type: ignore[return-value]
