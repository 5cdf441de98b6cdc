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
    "plans",
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
    "django_otp",
    "django_otp.plugins.otp_totp",
    "django_otp.plugins.otp_static",
    "csp",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "athletes.sign_in_middleware.BrowserPolicyMiddleware",
    "athletes.middleware.RequestReferenceMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "athletes.sign_in_middleware.SignInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "desk.turning.TurnedMiddleware",
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

# Database. A connection that is kept knows its tables, its statements and the pages it read last (8 MB of them).
# SQLite writes take their lock at the start of the transaction: with the deferred default, two writers meet half way
# and one fails at once instead of waiting.
DATABASE = env.database("DATABASE_URL", sqlite=VAR_DIR / "moundbook.sqlite3")
DATABASES = {"default": {"CONN_MAX_AGE": 60, "CONN_HEALTH_CHECKS": True, **DATABASE}}
if DATABASE["ENGINE"].endswith("sqlite3"):
    pragmas = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "cache_size=-8000")
    DATABASES["default"]["OPTIONS"] = {
        "timeout": 20,
        "transaction_mode": "IMMEDIATE",
        "init_command": "; ".join(f"PRAGMA {one}" for one in pragmas),
    }

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
    "forget-old-sign-ins": {"task": "athletes.forget_old_sign_ins", "schedule": crontab(hour=1, minute=20)},
    "write-digests": {"task": "plans.write_digests", "schedule": crontab(minute="*/15")},
    "send-waiting-mail": {"task": "athletes.send_waiting_mail", "schedule": 30.0},
    "work-out-what-works": {"task": "plans.work_out_what_works", "schedule": crontab(hour=2, minute=20)},
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
    {"NAME": "athletes.passwords.LongestPassword"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "athletes.passwords.CommonAtHeart"},
]
PASSWORD_RESET_TIMEOUT = 3600
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "login"
# Sign-in throttle, counted over the last quarter of an hour (AXES_COOLOFF_TIME, in hours). Wrong passwords, that is
# tries, after which sign-in rests: for one name from one address; from one address for all names, and for those that
# have signed in from it before (a facility shares one address); for one name from all addresses from which it never
# signed in, so that nobody far away can lock a coach out. docs/security.md says why these numbers.
AXES_FAILURE_LIMIT = 5
THROTTLE_ADDRESS_LIMIT = 30
THROTTLE_SHARED_ADDRESS_LIMIT = 100
THROTTLE_NAME_LIMIT = 20
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # 15 minutes are 15 minutes, whoever goes on trying
AXES_LOCKOUT_CALLABLE = "athletes.views.door.too_many"
AXES_HANDLER = "athletes.sign_in_throttle.SignInThrottle"
AXES_CLIENT_IP_CALLABLE = "athletes.requests.address_of"
AXES_VERBOSE = False
# Wrong codes, wrong present passwords and wrong PINs of an account, and letters for a forgotten password.
THROTTLE_SECRET_LIMIT = 5
THROTTLE_LETTERS_PER_EMAIL = 3
THROTTLE_LETTERS_PER_ADDRESS = 10
# One-time codes (RFC 6238): whether admins, coaches and clinicians must set them up before anything else opens.
STAFF_CODES = env.flag("STAFF_CODES", default=MODE == "production")
HALF_SIGNED_IN_SECONDS = 300
OTP_TOTP_ISSUER = "Moundbook"
# A sign-in ends after 12 hours without a page (SESSION_COOKIE_AGE), and after a week however busy it is: a tablet at
# the mound is in use all day, and a lost one must not stay open until somebody misses it.
SIGN_IN_DAYS_AT_MOST = 7
SIGN_IN_SEEN_EVERY_MINUTES = 5
SIGN_INS_KEPT_DAYS = 90

# Transport. HTTPS=no is for a demonstration on one's own machine.
HTTPS = env.flag("HTTPS", default=MODE == "production")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
# A browser takes a __Host- cookie only over HTTPS, for this name alone and from its root: no neighbour can plant one.
SESSION_COOKIE_NAME = "__Host-sessionid" if HTTPS else "sessionid"
CSRF_COOKIE_NAME = "__Host-csrftoken" if HTTPS else "csrftoken"
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "desk.views.errors.form_too_old"
SESSION_COOKIE_AGE = 12 * 3600
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
BEHIND_PROXY = env.flag("BEHIND_PROXY", default=False)
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_PROXY else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
OURS_ONLY = ("script-src", "style-src", "font-src", "connect-src", "media-src", "form-action", "manifest-src")
NOBODYS = ("default-src", "base-uri", "frame-ancestors", "object-src")
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        **{name: [NONE] for name in NOBODYS},
        **{name: [SELF] for name in OURS_ONLY},
        "img-src": [SELF, "data:"],
    },
}

# Letters. Links in them lead under PUBLIC_ADDRESS, never to the name that a request happened to ask for.
PUBLIC_ADDRESS = env.public_address("PUBLIC_ADDRESS")
MAIL = env.mail("EMAIL_URL")
EMAIL_BACKEND = MAIL["EMAIL_BACKEND"]
EMAIL_HOST, EMAIL_PORT = MAIL["EMAIL_HOST"] or "localhost", MAIL["EMAIL_PORT"] or 25
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL["EMAIL_HOST_USER"] or "", MAIL["EMAIL_HOST_PASSWORD"] or ""
EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.get("EMAIL_USE_TLS", False), MAIL.get("EMAIL_USE_SSL", False)
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = env.reader.str("DEFAULT_FROM_EMAIL", default="moundbook@localhost")

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

LANGUAGE_CODE, USE_I18N = "en", False
USE_TZ, TIME_ZONE = True, "UTC"

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
