"""What tests change: a throwaway data folder, fast hashes, work done at once."""

import os
import tempfile

os.environ.setdefault("EAVESLINE_DATA", tempfile.mkdtemp(prefix="eavesline-test-"))
os.environ.setdefault("SECRET_KEY", "only-for-tests")

from config.settings import *  # noqa: F403 - the point of this module

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
CELERY_TASK_ALWAYS_EAGER = True
CELERY_TASK_EAGER_PROPAGATES = True
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
if not REDIS_URL:  # noqa: F405
    CACHES["default"] = {  # noqa: F405
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache"
    }
# Runs beside each other share a Redis; each keeps to its own keys.
CACHES["default"]["KEY_PREFIX"] = os.environ.get(  # noqa: F405
    "PYTEST_XDIST_WORKER", "alone"
)
STATIC_ROOT.mkdir(exist_ok=True)  # noqa: F405 - the static server looks for it
