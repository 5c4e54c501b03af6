"""What a web server runs."""

from __future__ import annotations

import gc
import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")

import scipy.special  # noqa: F401
from django.conf import settings
from django.core.wsgi import get_wsgi_application
from django.template.loader import get_template
from django.urls import get_resolver
from django.utils.translation import gettext, override

from slipwright.handbook import load_handbook

application = get_wsgi_application()

# read once as it starts, so that the first who asks for a page need not wait for it
load_handbook()
get_resolver().url_patterns  # noqa: B018
for _tongue, _ in settings.LANGUAGES:
    with override(_tongue):
        gettext("Findings")
for _name in ("web/today.html", "web/plant.html", "web/findings.html"):
    get_template(_name)

# none of it ever goes: not looked through each time memory is tidied, which would make a page wait
gc.collect()
gc.freeze()
