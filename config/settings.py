"""All settings. What differs between installations is an environment variable."""

from email.utils import parseaddr
from importlib.resources import files
from pathlib import Path
from typing import Any

import dj_database_url

from config import env
from config.secret import keep_secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.text("EAVESLINE_DATA", str(BASE_DIR / ".data")))
DATA_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)

DEBUG = env.flag("DEBUG", default=False)
SECRET_KEY = env.text("SECRET_KEY") or keep_secret_key(DATA_DIR / "secret-key")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS")
SITE_URL = env.text("SITE_URL", "http://localhost:8000")  # links in calendars and mail

# HTTPS is the proxy's work; say so and cookies, redirects and HSTS follow.
BEHIND_HTTPS = env.flag("BEHIND_HTTPS", default=False)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = BEHIND_HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = BEHIND_HTTPS
if BEHIND_HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30  # a phone on site should not ask every day
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

INSTALLED_APPS = [
    "config.apps.ConfigConfig",
    "config.apps.AdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_htmx",
    "crispy_forms",
    "jobs",
    "scheduling",
    "safety",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.middleware.content_security_policy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "jobs.context.firm_middleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "jobs.context.firm",
                "jobs.context.navigation",
            ],
        },
    },
]
CRISPY_ALLOWED_TEMPLATE_PACKS = CRISPY_TEMPLATE_PACK = "eavesline_forms"
FORM_RENDERER = "django.forms.renderers.DjangoTemplates"

# --- Records ---------------------------------------------------------------
DATABASES: dict[str, Any] = {
    "default": dj_database_url.parse(
        env.text("DATABASE_URL", f"sqlite:///{DATA_DIR / 'eavesline.sqlite3'}"),
        conn_max_age=60,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["OPTIONS"] = {
        # Writers queue for the lock at the start, not half way through their work.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
MEDIA_ROOT = Path(env.text("EAVESLINE_FILES", str(DATA_DIR / "files")))
DATA_UPLOAD_MAX_MEMORY_SIZE = 15 * 1024 * 1024
UPLOAD_LIMIT_MB = env.number("UPLOAD_LIMIT_MB", 12)

# --- People ----------------------------------------------------------------
AUTH_USER_MODEL = "jobs.Person"
LOGIN_URL = "jobs:log_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "jobs:log_in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
_VALIDATION = "django.contrib.auth.password_validation"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"{_VALIDATION}.UserAttributeSimilarityValidator"},
    {"NAME": f"{_VALIDATION}.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": f"{_VALIDATION}.CommonPasswordValidator"},
    {"NAME": f"{_VALIDATION}.NumericPasswordValidator"},
]
EMAIL_BACKEND = env.text(
    "EMAIL_BACKEND",
    "django.core.mail.backends.smtp.EmailBackend"
    if env.text("EMAIL_HOST")
    else "django.core.mail.backends.filebased.EmailBackend",
)
EMAIL_FILE_PATH = DATA_DIR / "outbox"  # where mail goes until a server is named
EMAIL_HOST = env.text("EMAIL_HOST")
EMAIL_PORT = env.number("EMAIL_PORT", 587)
EMAIL_HOST_USER = env.text("EMAIL_HOST_USER")
EMAIL_HOST_PASSWORD = env.text("EMAIL_HOST_PASSWORD")
EMAIL_USE_TLS = env.flag("EMAIL_USE_TLS", default=True)
DEFAULT_FROM_EMAIL = env.text("EMAIL_FROM", "eavesline@localhost")
# Where answers to calendar invitations go; `read_replies` takes them in from there.
CALENDAR_REPLIES = env.text("CALENDAR_REPLIES", parseaddr(DEFAULT_FROM_EMAIL)[1])

# --- Background work and cache ---------------------------------------------
REDIS_URL = env.text("REDIS_URL")
QUEUE_DIR = DATA_DIR / "queue"
CELERY_BROKER_URL = REDIS_URL or "filesystem://localhost//"
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any] = {}
if not REDIS_URL:
    for folder in ("messages", "control", "processed"):
        (QUEUE_DIR / folder).mkdir(parents=True, exist_ok=True)
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(QUEUE_DIR / "messages"),
        "data_folder_out": str(QUEUE_DIR / "messages"),
        "control_folder": str(QUEUE_DIR / "control"),
        "processed_folder": str(QUEUE_DIR / "processed"),
        "store_processed": False,
    }
CELERY_TASK_IGNORE_RESULT = True  # progress and results live in our own table
CELERY_TASK_ACKS_LATE = True  # a killed worker's task runs again; every task may
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat-schedule")
CELERY_BEAT_SCHEDULE = {
    "close the day's ledger": {
        "task": "jobs.tasks.close_ledger_day",
        "schedule": 60 * 60,
    },
    "judge work that is new or was known too early": {
        "task": "safety.tasks.judge_again",
        "schedule": 5 * 60,
    },
    "invite people whose bookings changed, mails that failed too": {
        "task": "scheduling.tasks.tell_people",
        "schedule": 30 * 60,
    },
    "give up work whose worker is gone": {
        "task": "jobs.tasks.give_up_lost_work",
        "schedule": 5 * 60,
    },
}
CACHES: dict[str, Any] = {
    "default": {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": REDIS_URL,
    }
    if REDIS_URL
    else {
        # In files, so that web server and worker share what either worked out.
        "BACKEND": "django.core.cache.backends.filebased.FileBasedCache",
        "LOCATION": str(DATA_DIR / "cache"),
        "OPTIONS": {"MAX_ENTRIES": 3000},
    }
}

# --- How the apps meet without importing upwards ---------------------------
HOLD_PROVIDERS = [
    "jobs.holds.dimension_holds",
    "jobs.holds.approval_holds",
    "scheduling.holds.delivery_holds",
    "scheduling.holds.crew_holds",
    "scheduling.holds.lost_day_holds",
    "safety.holds.statement_holds",
    "safety.holds.sign_on_holds",
    "safety.holds.daily_check_holds",
    "safety.holds.hold_point_holds",
    "safety.holds.tools.tool_test_holds",
    "safety.holds.stop_work_holds",
]
HANDOVER_PROVIDERS = ["safety.queries.hold_points.left_at_handover"]
JOB_PANELS = ["jobs.panels", "scheduling.panels", "safety.panels"]
JOB_SIGHT = ["scheduling.sight.jobs_booked_for"]
LIBRARY_PARSERS = {
    "method": "jobs.library.parse_method_text",
    "hazards": "safety.library.parse_hazard_text",
}

# --- Words, times, files ---------------------------------------------------
LANGUAGE_CODE = "en-au"
LANGUAGES = [("en-au", "English")]
TIME_ZONE = env.text("TIME_ZONE", "Australia/Sydney")
USE_TZ = True
USE_I18N = True
STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
STATICFILES_DIRS = [
    ("fonts", str(files("font_source_sans_pro").joinpath("files"))),
]
STORAGES = {
    "default": {
        "BACKEND": env.text(
            "FILE_STORAGE", "django.core.files.storage.FileSystemStorage"
        )
    },
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if not DEBUG
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}
FORMAT_MODULE_PATH = ["config.formats"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": env.text("LOG_LEVEL", "INFO")},
    "loggers": {
        name: {"level": "WARNING"}
        for name in ("weasyprint", "fontTools", "celery.beat")
    },
}
SILENCED_SYSTEM_CHECKS: list[str] = [
    # HTTPS is ended by the proxy; `check --deploy` runs with BEHIND_HTTPS=yes in CI.
]
