"""Settings of the test run: a private folder, quick password hashes, nothing outside the process."""

import os
import tempfile

os.environ["MOUNDBOOK_MODE"] = "test"
os.environ.setdefault("MOUNDBOOK_VAR", tempfile.mkdtemp(prefix="moundbook-test-"))

from config.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
CELERY_TASK_ALWAYS_EAGER = False
