"""Django's settings. What differs between installations comes from ``clubsite.env``."""

import os
from datetime import timedelta
from pathlib import Path

from clubsite.databases import keep_to_owner, parse_database_url
from clubsite.env import EnvironmentRefusedError, read_environment

BASE_DIR = Path(__file__).resolve().parent.parent
ENVIRONMENT = read_environment(os.environ, base_dir=BASE_DIR)
ENVIRONMENT.data_dir.mkdir(parents=True, exist_ok=True)
try:
    keep_to_owner(ENVIRONMENT.data_dir)
except PermissionError as error:
    raise EnvironmentRefusedError(
        "CLUBSITE_DATA",
        "is another account's folder, and others may read it. Start the site as its owner.",
    ) from error
_IS_PUBLIC = not ENVIRONMENT.is_local

SECRET_KEY = ENVIRONMENT.secret_key
DEBUG = ENVIRONMENT.is_debug
ALLOWED_HOSTS = list(ENVIRONMENT.hosts)
SITE_NAME = ENVIRONMENT.site_name
SITE_ADDRESS = ENVIRONMENT.address
DATA_DIR = ENVIRONMENT.data_dir

INSTALLED_APPS = [
    "clubsite",
    "clubsite.accounts",
    "logs",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "csp",
    "drf_spectacular",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.gzip.GZipMiddleware",  # pages and static files; tokens of forms are masked
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "clubsite.middleware.NoStoreMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "clubsite.accounts.sessions.SessionLimitMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "clubsite.accounts.throttle.DoorMiddleware",
]

ROOT_URLCONF = "clubsite.urls"
WSGI_APPLICATION = "clubsite.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": sorted((BASE_DIR / "logs").glob("*/templates")),  # each room keeps its own
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["logs.templatetags.notebook"],
            "libraries": {  # {% load jobs_words %}: how a room's pages say what its reports hold
                f"{path.parent.name}_words": f"logs.{path.parent.name}.words"
                for path in (BASE_DIR / "logs").glob("*/words.py")
            },
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "clubsite.context.site",
            ],
        },
    },
]

DATABASES = {"default": parse_database_url(ENVIRONMENT.database_url)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Accounts ----------------------------------------------------------------------------------------

AUTH_USER_MODEL = "accounts.User"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",  # only to read older ones
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "clubsite.accounts.passwords.LengthValidator",
        "OPTIONS": {"floor": 8, "advised": 15},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "accounts:sign-in"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "accounts:sign-in"

# Sessions and cookies ----------------------------------------------------------------------------

SESSION_ENGINE = "clubsite.accounts.store"
SESSION_COOKIE_AGE = int(timedelta(days=14).total_seconds())  # idle limit
SESSION_ABSOLUTE_AGE = timedelta(days=90)
SESSION_COOKIE_NAME = "__Host-session" if _IS_PUBLIC else "session"
SESSION_COOKIE_SECURE = _IS_PUBLIC
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_NAME = "__Host-csrf" if _IS_PUBLIC else "csrf"
CSRF_COOKIE_SECURE = _IS_PUBLIC
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_AGE = None  # ends with the browser
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

# Headers -----------------------------------------------------------------------------------------

SECURE_SSL_REDIRECT = _IS_PUBLIC
SECURE_HSTS_SECONDS = int(timedelta(days=730).total_seconds()) if _IS_PUBLIC else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = _IS_PUBLIC
SECURE_HSTS_PRELOAD = _IS_PUBLIC
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "style-src": ["'self'"],
        # plotly.js puts an empty style element into the page, which it then fills through the object
        # model. This is the hash of nothing; tests/browser/test_shell.py fails when it no longer is.
        "style-src-elem": ["'self'", "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"],
        "object-src": ["'none'"],
        "base-uri": ["'none'"],
        "frame-ancestors": ["'none'"],
        "form-action": ["'self'"],
    }
}

# The API -----------------------------------------------------------------------------------------

REST_FRAMEWORK = {  # the rest: logs.http.api
    "DEFAULT_SCHEMA_CLASS": "logs.http.schema.Schema",
    "DEFAULT_AUTHENTICATION_CLASSES": ["logs.people.authentication.TokenAuthentication"],
    "DEFAULT_THROTTLE_CLASSES": ["logs.people.authentication.Throttle"],
}
SPECTACULAR_SETTINGS = {
    "TITLE": f"The API of {SITE_NAME}",
    "VERSION": "1",
    "DESCRIPTION": "Logs, labelled cases and what a club's pages show, for its members' programs.",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "ENUM_NAME_OVERRIDES": {
        "Role": "logs.people.api.ROLES",
        "GivenRole": "logs.people.api.GIVEN_ROLES",
        "Visibility": "logs.people.api.VISIBILITIES",
        "InvitationState": "logs.people.report.clubs.InvitationState",
        "LogUnitEnum": "logs.solves.api.mappings.UNITS",
        "CaseStateEnum": "logs.homework.report.data.CaseState",
        "TrendStateEnum": "logs.stats.curves.TrendState",
        "Where": "cubecore.holds.Where",
        "Side": "cubecore.holds.Side",
        "Colour": "logs.solves.report.steps.Colour",
        "ColumnRole": "logs.intake.mapping.Role",
        "SolveKind": "cubecore.replay.Kind",
        "PartKind": "logs.solves.report.steps.PartKind",
        "PoolKind": "logs.practice.report.practice.PoolKind",
    },
}

# Mail --------------------------------------------------------------------------------------------

SENDS_MAIL = ENVIRONMENT.mail is not None
PASSWORD_RESET_TIMEOUT = int(timedelta(hours=1).total_seconds())
"""How long a mailed link for a new password works; as long as an owner's code."""
if ENVIRONMENT.mail is not None:
    EMAIL_HOST = ENVIRONMENT.mail.host
    EMAIL_PORT = ENVIRONMENT.mail.port
    EMAIL_HOST_USER = ENVIRONMENT.mail.user
    EMAIL_HOST_PASSWORD = ENVIRONMENT.mail.password
    EMAIL_USE_SSL = ENVIRONMENT.mail.is_tls_from_start
    EMAIL_USE_TLS = not ENVIRONMENT.mail.is_tls_from_start
    EMAIL_TIMEOUT = 10
    DEFAULT_FROM_EMAIL = ENVIRONMENT.mail.sender

# Work behind the request -------------------------------------------------------------------------

INLINE_ROWS = 500
"""A log of more rows than this is taken in behind the request, with its progress on a page."""
BROKER = ENVIRONMENT.broker

# Static files ------------------------------------------------------------------------------------

STATIC_URL = "/static/"
STATICFILES_FINDERS = ["django.contrib.staticfiles.finders.AppDirectoriesFinder"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "clubsite.static_files.HashedAddresses"},
}
WHITENOISE_USE_FINDERS = True  # one command serves the site: nothing to collect first
WHITENOISE_AUTOREFRESH = ENVIRONMENT.is_debug
WHITENOISE_MAX_AGE = 0 if ENVIRONMENT.is_debug else int(timedelta(days=365).total_seconds())

# Language, time, logging -------------------------------------------------------------------------

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = ENVIRONMENT.time_zone

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        "django.request": {"level": "ERROR"},  # a page that is not there is no fault of ours
    },
}
