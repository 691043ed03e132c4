"""Static files under names that change with what is in them, also where one script asks for another."""

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage  # type: ignore[import-untyped]

_, IMPORTS = HashedFilesMixin._js_module_import_aggregation_patterns  # type: ignore[attr-defined]


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """An old page goes on with the scripts it was loaded with, and a new one never meets an old script."""

    # One pass for each step of the longest chain of scripts that ask for one another.
    max_post_process_passes = 30
    # Of our own scripts alone: others name files in their comments that there are not.
    patterns = (*CompressedManifestStaticFilesStorage.patterns, ("logbook/js/*.js", IMPORTS))
