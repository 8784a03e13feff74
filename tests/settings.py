"""The site's settings, with hashing, mail and files made fast for tests."""

import os
import tempfile

os.environ.setdefault("SECRET_KEY", "not-a-secret-only-tests")
os.environ["DEBUG"] = "false"
os.environ["BEHIND_HTTPS"] = "false"
os.environ["CLOCK_STARTS_AT"] = ""
os.environ["TASKS_IN_WORKER"] = "false"
# Tests of organisers' pages sign in without it; tests/people/test_accounts.py asks.
os.environ["ORGANISERS_NEED_MFA"] = "false"

from heritage.settings import *  # noqa: F403
from heritage.settings import LOGGING, STORAGES

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
MEDIA_ROOT = tempfile.mkdtemp(prefix="heritage-tests-")
STATIC_ROOT = tempfile.mkdtemp(prefix="heritage-static-")
STORAGES = STORAGES | {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
}
ACCOUNT_RATE_LIMITS = False
# That a page was refused is an answer, and thousands of tests ask for it.
LOGGING = LOGGING | {"loggers": {"django.request": {"level": "ERROR"}}}
