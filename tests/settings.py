"""The settings of the tests: the project's own, with a data folder that goes away and nothing slow."""

import atexit
import os
import shutil
import tempfile

from tests.harness.surroundings import surroundings

_database = os.environ.get("EMBERMARK_DATABASE")
_data = tempfile.mkdtemp(prefix="embermark-data-")
atexit.register(shutil.rmtree, _data, ignore_errors=True)
_clean = surroundings(os.environ)
os.environ.clear()
os.environ.update(_clean, EMBERMARK_DATA=_data, EMBERMARK_SECRET_KEY="only for tests")
if _database:
    os.environ["EMBERMARK_DATABASE"] = _database

from logbook.settings import *  # noqa: E402, F403
from logbook.settings import STATIC_ROOT, STORAGES  # noqa: E402

STATIC_ROOT.mkdir(parents=True, exist_ok=True)
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
