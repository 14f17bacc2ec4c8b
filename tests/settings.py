"""The workshop's own settings, on a folder of the test run's own."""

import os
import tempfile

os.environ["TICKOVER_HOME"] = tempfile.mkdtemp(prefix="tickover-tests-")
os.environ.pop("DATABASE_URL", None)
# The browser driver keeps an event loop in this thread; no test runs the database inside it.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

from tickover.shed.settings import *  # noqa: F403
from tickover.shed.settings import HOME, STORAGES

STORAGES = STORAGES | {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
(HOME / "static").mkdir()
