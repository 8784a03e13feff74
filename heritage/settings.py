"""The one settings file: every value that differs by place comes from the environment.

The table of environment variables is in the README. Nothing here exists only in
production: with DEBUG off the site refuses to start without a secret key.
"""

from pathlib import Path

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parent.parent

env = environ.Env()
environ.Env.read_env(BASE_DIR / ".env", overwrite=False)

DEBUG = env.bool("DEBUG", default=False)
SECRET_KEY = env.str("SECRET_KEY", default="for-debugging" if DEBUG else env.NOTSET)
# Keys that were in use before: they sign and seal nothing, and still open.
SECRET_KEY_FALLBACKS = env.list("SECRET_KEY_FALLBACKS", default=[])
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1"])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])
SITE_ADDRESS = env.str("SITE_ADDRESS", default="http://127.0.0.1:8000").rstrip("/")

INSTALLED_APPS = [
    "heritage.common",
    "heritage.season",
    "heritage.people",
    "heritage.printing",
    "heritage.briefings",
    "heritage.grounds",
    "heritage.incidents",
    "heritage.machines",
    "heritage.growth",
    "heritage.gatherings",
    "heritage.tally",
    "heritage.lots",
    "heritage.dam",
    "heritage.fibre",
    "heritage.pictures",
    "heritage.fieldlog",
    "heritage.diary",
    "heritage.public",
    "heritage.desk",
    "heritage.archive",
    "heritage.demo",
    "heritage.privacy",
    "whitenoise.runserver_nostatic",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.sitemaps",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "crispy_forms",
    "csp",
    "django_htmx",
    "django_tasks",
    "django_tasks_db",
    "template_partials",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    # It pads what it packs, so that a page's length tells nothing of its secrets.
    "django.middleware.gzip.GZipMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "heritage.common.trimming.TrimmingMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "heritage.people.request.StandingMiddleware",
]

ROOT_URLCONF = "heritage.urls"
WSGI_APPLICATION = "heritage.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "heritage.people.request.standing",
                "heritage.desk.request.places",
            ],
        },
    },
]
CRISPY_ALLOWED_TEMPLATE_PACKS = "field"
CRISPY_TEMPLATE_PACK = "field"

# --- Data -----------------------------------------------------------------------

DATABASES = {
    "default": env.db(
        "DATABASE_URL", default=f"sqlite:///{BASE_DIR / 'heritage.sqlite3'}"
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # IMMEDIATE makes a writer wait for its turn instead of failing half-way:
    # SQLite ignores select_for_update, so the transaction itself is the lock.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 60,
        "init_command": (
            "PRAGMA journal_mode=WAL;PRAGMA synchronous=NORMAL;PRAGMA foreign_keys=ON;"
        ),
    }
else:
    DATABASES["default"]["CONN_MAX_AGE"] = env.int("CONN_MAX_AGE", default=60)
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

MEDIA_ROOT = Path(env.str("MEDIA_ROOT", default=str(BASE_DIR / "media")))
FILES_BUCKET = env.str("FILES_BUCKET", default="")
STORAGES = {
    "default": (
        {
            "BACKEND": "storages.backends.s3.S3Storage",
            "OPTIONS": {
                "bucket_name": FILES_BUCKET,
                "endpoint_url": env.str("FILES_ENDPOINT", default="") or None,
                "default_acl": None,
                "querystring_auth": True,
                "file_overwrite": False,
            },
        }
        if FILES_BUCKET
        else {"BACKEND": "heritage.common.store.FilesOnDisk"}
    ),
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if DEBUG
            else "whitenoise.storage.CompressedManifestStaticFilesStorage"
        )
    },
}
STATIC_URL = "static/"
STATIC_ROOT = Path(env.str("STATIC_ROOT", default=str(BASE_DIR / "static-collected")))

# Rate limits count in the cache, so several web processes need a shared one.
CACHES = {"default": env.cache("CACHE_URL", default="locmemcache://")}

TASKS = {
    "default": {
        "BACKEND": (
            "django_tasks_db.DatabaseBackend"
            if env.bool("TASKS_IN_WORKER", default=False)
            else "django_tasks.backends.immediate.ImmediateBackend"
        )
    }
}

# --- People ---------------------------------------------------------------------

AUTH_USER_MODEL = "people.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
_VALIDATION = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": f"{_VALIDATION}.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
    {"NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "public:home"
LOGOUT_REDIRECT_URL = "public:home"

ACCOUNT_ADAPTER = "heritage.people.adapter.AccountMail"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*"]
ACCOUNT_FORMS = {
    "login": "heritage.people.accounts.forms.SignInForm",
    "signup": "heritage.people.accounts.forms.SignUpForm",
    "request_login_code": "heritage.people.accounts.forms.AskForCodeForm",
    "add_email": "heritage.people.accounts.forms.NewAddressForm",
}
ACCOUNT_SIGNUP_FORM_CLASS = "heritage.people.forms.NameAtSignup"
ACCOUNT_EMAIL_VERIFICATION = "mandatory"
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_LOGIN_BY_CODE_ENABLED = True
# A field with a weak signal needs longer than the library's three minutes.
ACCOUNT_LOGIN_BY_CODE_TIMEOUT = 900
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_TIMEOUT = 900
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_LOGIN_BY_CODE_SUPPORTS_RESEND = True
ACCOUNT_EMAIL_VERIFICATION_SUPPORTS_RESEND = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ALLAUTH_USER_CODE_FORMAT = {"numeric": True, "length": 6, "dashed": False}
# One address to an account: a new one takes the old one's place once it is shown
# to be theirs.
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_EMAIL_NOTIFICATIONS = True
# How many proxies of our own stand before the site, so that rate limits count the
# visitor and not the proxy.
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("PROXIES", default=0)
MFA_ADAPTER = "heritage.people.adapter.SealedLock"
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Field notebook"
# A phone's clock may be half a minute out.
MFA_TOTP_TOLERANCE = 1
MFA_FORMS = {"activate_totp": "heritage.people.accounts.forms.SecondLockForm"}
ORGANISERS_NEED_MFA = env.bool("ORGANISERS_NEED_MFA", default=not DEBUG)
SECOND_LOCK_URL = "second_lock"

# --- Mail -----------------------------------------------------------------------

EMAIL_CONFIG = env.email("EMAIL_URL", default="consolemail://")
vars().update(EMAIL_CONFIG)
if EMAIL_CONFIG["EMAIL_BACKEND"] == "django.core.mail.backends.smtp.EmailBackend":
    # The same, but it tells a letter that was not taken from one that may have gone.
    EMAIL_BACKEND = "heritage.common.post.ServerBackend"
EMAIL_TIMEOUT = env.int("EMAIL_TIMEOUT", default=20)
DEFAULT_FROM_EMAIL = env.str("MAIL_FROM", default="field-notebook@localhost")
SERVER_EMAIL = DEFAULT_FROM_EMAIL

# --- Weather -------------------------------------------------------------------

# A forecast is read only when both are set: the service wants to know who asks.
FORECAST_URL = env.str("FORECAST_URL", default="")
FORECAST_CONTACT = env.str("FORECAST_CONTACT", default="")

# --- Time and words -------------------------------------------------------------

USE_TZ = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en-gb"
USE_I18N = True
# The demonstration clock: a fixed start for the process, empty for the real time.
CLOCK_STARTS_AT = env.str("CLOCK_STARTS_AT", default="")

# --- Security -------------------------------------------------------------------

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30
BEHIND_HTTPS = env.bool("BEHIND_HTTPS", default=not DEBUG)
if BEHIND_HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_SECURE = True
    CSRF_COOKIE_NAME = "__Host-csrf"

# A phone's photograph, and no more than a phone's photograph.
PICTURE_MAX_BYTES = env.int("PICTURE_MAX_BYTES", default=25 * 1024 * 1024)
PICTURE_MAX_PIXELS = env.int("PICTURE_MAX_PIXELS", default=50_000_000)
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", default="WARNING")},
}
