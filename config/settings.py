"""Settings: every value that differs between installations comes from the environment (.env.example)."""

import tempfile
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path

from celery.schedules import crontab
from csp.constants import NONE, SELF

from config import env

BASE_DIR = Path(__file__).resolve().parent.parent
if not env.is_test_run():
    env.reader.read_env(BASE_DIR / ".env")

MODE = env.choice("MOUNDBOOK_MODE", env.MODES, default="production")
DEMO = MODE == "demo"
VAR_DIR = Path(env.reader.str("MOUNDBOOK_VAR", default=str(BASE_DIR / "var"))).resolve()

SECRET_KEY = env.secret_key(MODE, VAR_DIR)
DEBUG = env.flag("DEBUG", default=False)
ALLOWED_HOSTS = env.names("ALLOWED_HOSTS", default=("localhost", "127.0.0.1", "[::1]"))
CSRF_TRUSTED_ORIGINS = env.names("CSRF_TRUSTED_ORIGINS")
PORT = env.number("PORT", 8000, least=1)

INSTALLED_APPS = [
    "athletes",
    "sessions.apps.SessionsConfig",
    "metrics",
    "desk",
    "config",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
    "axes",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "athletes.middleware.RequestReferenceMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "athletes.middleware.FacilityTimeZoneMiddleware",
    "athletes.middleware.ViewLogMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

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
                "desk.context.navigation",
            ],
        },
    },
]

# Database. SQLite writes take their lock at the start of the transaction: with the deferred default,
# two writers meet half way and one fails at once instead of waiting.
DATABASES = {"default": env.database("DATABASE_URL", sqlite=VAR_DIR / "moundbook.sqlite3")}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
else:
    DATABASES["default"].setdefault("CONN_MAX_AGE", 60)
    DATABASES["default"]["CONN_HEALTH_CHECKS"] = True

# Broker and cache: REDIS_URL, or the embedded server on a socket whose path stays short (107 bytes at most)
# however deep this checkout lies.
REDIS_URL = env.broker("REDIS_URL")
EMBEDDED_BROKER_DIR = Path(tempfile.gettempdir()) / f"moundbook-{sha256(str(VAR_DIR).encode()).hexdigest()[:12]}"
EMBEDDED_BROKER_SOCKET = EMBEDDED_BROKER_DIR / "broker.sock"
CELERY_BROKER_URL = REDIS_URL or f"redis+socket://{EMBEDDED_BROKER_SOCKET}"
CACHE_LOCATION = REDIS_URL or f"unix://{EMBEDDED_BROKER_SOCKET}"
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    # A killed worker's task comes back after the visibility timeout, not after the default sweep of minutes.
    # A task that is still alive then is protected by its claim on the database row.
    "visibility_timeout": 60,
    "unacked_restore_interval": 3,
    "unacked_restore_throttle": 1,
    "socket_connect_timeout": 5,
}
CELERY_TASK_IGNORE_RESULT = True
# A broker that is away must not hold up the page: what could not be sent, the sweeper finds.
CELERY_TASK_PUBLISH_RETRY = False
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_CONCURRENCY = env.number("WORKER_PROCESSES", 2, least=1)
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE = {
    "retake-stale-claims": {"task": "sessions.retake_stale_claims", "schedule": 15.0},
    "rescore-what-lags": {"task": "metrics.rescore_what_lags", "schedule": 30.0},
    "forget-screen-drafts": {"task": "metrics.forget_old_screen_drafts", "schedule": crontab(hour=1, minute=10)},
    "seal-view-log": {"task": "athletes.seal_view_log", "schedule": crontab(hour=0, minute=40)},
}

CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": CACHE_LOCATION,
        "KEY_PREFIX": "moundbook",
    }
}

# What happens to an upload, in order; each room registers the function of its own stage.
PIPELINE = ("read", "accept", "score")

# Accounts
AUTH_USER_MODEL = "athletes.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "login"
# Sign-in throttle: five wrong passwords for one name from one address close it for a quarter of an hour.
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "registration/locked.html"
AXES_HANDLER = "axes.handlers.database.AxesDatabaseHandler"
AXES_VERBOSE = False

# Transport. HTTPS=no is for a demonstration on one's own machine.
HTTPS = env.flag("HTTPS", default=MODE == "production")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 12 * 3600
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if env.flag("BEHIND_PROXY", default=False) else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "media-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
        "manifest-src": [SELF],
    },
}

# Files. Originals never lie under a public address: they are sent by a view that checks access.
STATIC_URL = "static/"
STATIC_ROOT = BASE_DIR / "staticfiles" if MODE == "production" else None
# Large charts are drawn by the script that comes in plotly's own package: no copy of it is kept here.
PLOTLY = find_spec("plotly")
PLOTLY_DIR = Path(PLOTLY.origin).parent / "package_data" if PLOTLY and PLOTLY.origin else None
STATICFILES_DIRS = [BASE_DIR / "static", *([("plotly", PLOTLY_DIR)] if PLOTLY_DIR else [])]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": (
            "whitenoise.storage.CompressedManifestStaticFilesStorage"
            if MODE == "production"
            else "django.contrib.staticfiles.storage.StaticFilesStorage"
        )
    },
}
WHITENOISE_USE_FINDERS = MODE != "production"
ORIGINALS_DIR = VAR_DIR / "originals"
RECORDINGS_DIR = VAR_DIR / "recordings"  # a cache: every file is made again from its original when it is gone
UPLOAD_MAX_BYTES = env.number("UPLOAD_MAX_MB", 200, least=1) * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
DATA_UPLOAD_MAX_NUMBER_FILES = 200
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.TemporaryFileUploadHandler"]
READER_SECONDS = env.number("READER_SECONDS", 20, least=1)
READER_MEMORY_MB = env.number("READER_MEMORY_MB", 1024, least=256)

# An athlete who was not measured for so long, and is not away, stands on the coach's first page.
UNSEEN_AFTER_WEEKS = env.number("UNSEEN_AFTER_WEEKS", 8, least=1)

LANGUAGE_CODE = "en"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "desk.api.Pages",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "PAGE_SIZE": 100,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Moundbook",
    "DESCRIPTION": "Athletes, sessions and findings, as far as the signed-in person may see them.",
    "VERSION": "1",
    "SERVE_PERMISSIONS": ["rest_framework.permissions.IsAuthenticated"],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"reference": {"()": "athletes.reference.ReferenceFilter"}},
    "formatters": {"line": {"format": "{asctime} {levelname} {name} [{reference}] {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["reference"]}},
    "root": {"handlers": ["console"], "level": env.choice("LOG_LEVEL", env.LOG_LEVELS, default="WARNING")},
}
