"""How static files are served."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticFiles(CompressedManifestStaticFilesStorage):
    """Names with a hash, also where one of our scripts imports another: a phone never mixes two versions."""

    support_js_module_import_aggregation = True
    # Ours only: a library's comments hold imports of files that aren't there.
    _js_module_import_aggregation_patterns = (
        "js/*.js",
        CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1],
    )
