"""Style sheets, scripts and fonts under names that change with their content, so phones may keep them."""

from __future__ import annotations

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Hashed and compressed; the modules that a script imports are renamed with it."""

    support_js_module_import_aggregation = True
