"""The service's settings, with what tests need otherwise."""

import os
import tempfile
from pathlib import Path

from studio.settings import *  # noqa: F403
from studio.settings import DATABASES

if "sqlite" in DATABASES["default"]["ENGINE"]:
    # A file, not memory: processes and the threads of a live server open it as they open the real one. The number
    # of the process lets two test runs go on side by side.
    DATABASES["default"]["TEST"] = {"NAME": str(Path(tempfile.gettempdir()) / f"tubeshelf-test-{os.getpid()}.sqlite3")}

# No collectstatic before a test run.
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = True
# Slow hashing is for real passwords.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Private files of tests go where nobody looks, and away with the process.
_FILES = tempfile.TemporaryDirectory(prefix="tubeshelf-test-")
MEDIA_ROOT = Path(_FILES.name)
