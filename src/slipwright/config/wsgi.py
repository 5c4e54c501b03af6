"""What a web server runs."""

from __future__ import annotations

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")

import scipy.special  # noqa: F401
from django.core.wsgi import get_wsgi_application
from django.template.loader import get_template

from slipwright.handbook import load_handbook

application = get_wsgi_application()

# read once as it starts, so that the first who asks for a page need not wait for it
load_handbook()
for _name in ("web/today.html", "web/plant.html"):
    get_template(_name)
