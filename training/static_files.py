"""How static files are kept: named by their content and compressed."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Also rewrites the names by which one script imports another."""

    support_js_module_import_aggregation = True
