"""Settings; everything that differs between places is read from the environment in the first block."""

import os
from datetime import timedelta
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

BASE_DIR = Path(__file__).resolve().parent.parent

# The environment, all of it.
DATA_DIR = Path(os.environ.get("EMBERMARK_DATA", BASE_DIR / ".data"))
POSTGRES_PROGRAMS = os.environ.get("EMBERMARK_POSTGRES_PROGRAMS", "")
KEYS_DIR = Path(os.environ.get("EMBERMARK_KEYS", DATA_DIR / "keys"))
DATABASE_URL = os.environ.get("EMBERMARK_DATABASE", f"sqlite:///{DATA_DIR / 'embermark.sqlite3'}")
PRINTS_DIR = DATA_DIR / "prints"
PACKAGES_DIR = DATA_DIR / "packages"
ADDRESS = os.environ.get("EMBERMARK_ADDRESS", "")
SMTP = os.environ.get("EMBERMARK_SMTP", "")
MAIL_FROM = os.environ.get("EMBERMARK_MAIL_FROM", "")
SECRET = os.environ.get("EMBERMARK_SECRET_KEY", "")
HOSTS = os.environ.get("EMBERMARK_HOSTS", "localhost,127.0.0.1,[::1]")
DEBUG = os.environ.get("EMBERMARK_DEBUG", "") == "1"
IS_HTTPS = os.environ.get("EMBERMARK_HTTPS", "") == "1"
TIME_ZONE = os.environ.get("EMBERMARK_TIME_ZONE", "UTC")
PROXIES = int(os.environ.get("EMBERMARK_PROXIES", "1" if IS_HTTPS else "0"))


def _secret_key() -> str:
    """Return the secret given, or one kept in the data folder, made on first use; there is no default."""
    if SECRET:
        return SECRET
    if IS_HTTPS:
        raise ImproperlyConfigured(
            "EMBERMARK_SECRET_KEY is not set. A site that is reached by https needs a secret of its own, of 50 "
            "characters or more; this makes one: python -c 'import secrets; print(secrets.token_urlsafe(50))'"
        )
    kept = DATA_DIR / "secret_key"
    if not kept.exists():
        from django.core.management.utils import get_random_secret_key

        DATA_DIR.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(kept, os.O_WRONLY | os.O_CREAT, 0o600)
        with os.fdopen(descriptor, "w") as file:
            file.write(get_random_secret_key())
    return kept.read_text()


def _database(url: str) -> dict[str, object]:
    """Return Django's database settings for an address such as sqlite:////var/lib/embermark.sqlite3."""
    parts = urlsplit(url)
    if parts.scheme == "sqlite":
        pragmas = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON;"
        return {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": unquote(parts.path[1:]),
            "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 20, "init_command": pragmas},
        }
    if parts.scheme in ("postgresql", "postgres"):
        host = parse_qs(parts.query).get("host", [parts.hostname or ""])[0]
        return {
            "ENGINE": "django.db.backends.postgresql",
            "NAME": parts.path.removeprefix("/"),
            "USER": unquote(parts.username or ""),
            "PASSWORD": unquote(parts.password or ""),
            "HOST": host,
            "PORT": str(parts.port or ""),
        }
    raise ImproperlyConfigured(f"EMBERMARK_DATABASE must begin with sqlite:/// or postgresql://, not {url!r}.")


SECRET_KEY = _secret_key()
ALLOWED_HOSTS = [host.strip() for host in HOSTS.split(",") if host.strip()]
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if IS_HTTPS else []
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = IS_HTTPS
SECURE_SSL_REDIRECT = IS_HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if IS_HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = IS_HTTPS
# To have a whole domain preloaded as https only is its owner's decision, not a program's.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if IS_HTTPS else None
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": ["'none'"],
        "script-src": ["'self'"],
        "style-src": ["'self'"],
        "img-src": ["'self'", "data:"],
        "connect-src": ["'self'"],
        "manifest-src": ["'self'"],
        "worker-src": ["'self'"],
        "form-action": ["'self'"],
        "frame-ancestors": ["'none'"],
        "base-uri": ["'none'"],
    }
}

INSTALLED_APPS = [
    "logbook.apps.LogbookAdminConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "engines",
    "inspections",
    "logbook",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "logbook.middleware.SessionLimits",
    "allauth.account.middleware.AccountMiddleware",
    "logbook.middleware.TableOfAccess",
]
ROOT_URLCONF = "logbook.urls"
WSGI_APPLICATION = "logbook.wsgi.application"
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
            ]
        },
    }
]

_smtp = urlsplit(SMTP)
if SMTP and (_smtp.scheme not in ("smtp", "smtps") or not _smtp.hostname):
    raise ImproperlyConfigured("EMBERMARK_SMTP must begin with smtp:// or smtps:// and name a host.")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if SMTP else 'dummy'}.EmailBackend"
EMAIL_HOST, EMAIL_PORT = _smtp.hostname or "", _smtp.port or (465 if _smtp.scheme == "smtps" else 587)
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = unquote(_smtp.username or ""), unquote(_smtp.password or "")
EMAIL_USE_SSL = _smtp.scheme == "smtps"
EMAIL_USE_TLS = _smtp.scheme == "smtp" and _smtp.hostname not in ("localhost", "127.0.0.1")
EMAIL_TIMEOUT = 30
DEFAULT_FROM_EMAIL = MAIL_FROM or "embermark@localhost"

DATABASES = {"default": _database(DATABASE_URL)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Counters of failed sign-ins must be one for all processes, so that memory of each will not do.
CACHES = {"default": {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "embermark_cache"}}

AUTH_USER_MODEL = "logbook.Person"
AUTHENTICATION_BACKENDS = ["logbook.accounts.SignInBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "engine_list"
LOGOUT_REDIRECT_URL = "sign_in"

ACCOUNT_ADAPTER = "logbook.accounts.AccountAdapter"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_RATE_LIMITS = {
    "login": "60/m/ip",
    "login_failed": "10/m/ip,5/5m/key",
    "signing": "5/5m/user",
}
ACCOUNT_FORMS = {
    "login": "logbook.forms.accounts.SignInForm",
    "reauthenticate": "logbook.forms.accounts.PasswordForm",
    "change_password": "logbook.forms.accounts.ChangePasswordForm",
}
ALLAUTH_TRUSTED_PROXY_COUNT = PROXIES
MFA_ADAPTER = "logbook.accounts.SecondFactorAdapter"
MFA_SUPPORTED_TYPES = ["totp", "webauthn", "recovery_codes"]
MFA_PASSKEY_LOGIN_ENABLED = True
MFA_RECOVERY_CODES_SHOW_ONCE = True
MFA_FORMS = {
    "authenticate": "logbook.forms.accounts.CodeForm",
    "reauthenticate": "logbook.forms.accounts.ConfirmCodeForm",
    "activate_totp": "logbook.forms.accounts.FirstCodeForm",
    "login_webauthn": "logbook.forms.accounts.PasskeySignInForm",
    "authenticate_webauthn": "logbook.forms.accounts.PasskeyStepForm",
    "reauthenticate_webauthn": "logbook.forms.accounts.ConfirmPasskeyForm",
    "add_webauthn": "logbook.forms.accounts.PasskeyForm",
    "edit_webauthn": "logbook.forms.accounts.PasskeyNameForm",
}

# An unattended device must not stay signed in: shortest for who signs a required inspection item.
SESSION_IDLE = timedelta(minutes=30)
SESSION_IDLE_BY_ROLE = {"inspector": timedelta(minutes=15)}
SESSION_LONGEST = timedelta(hours=12)
SESSION_COOKIE_AGE = int(SESSION_LONGEST.total_seconds())

LANGUAGE_CODE = "en"
USE_I18N = False
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "traces": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": DATA_DIR / "traces"},
    },
    "staticfiles": {"BACKEND": "logbook.static_files.HashedFiles"},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024
TRACE_UPLOAD_MAX_BYTES = 512 * 1024 * 1024
PHOTO_UPLOAD_MAX_BYTES = 20 * 1024 * 1024
DOCUMENT_UPLOAD_MAX_BYTES = 256 * 1024 * 1024
PHOTOS_MOST = 24  # of one run, inspection or work
PACKAGE_UPLOAD_MAX_BYTES = 4 * 1024 * 1024 * 1024

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "logbook.api.authentication.BearerAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["logbook.api.permissions.MayAct"],
    "DEFAULT_PARSER_CLASSES": ["logbook.api.parsers.BodyParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "rest_framework.pagination.PageNumberPagination",
    "PAGE_SIZE": 50,
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_METADATA_CLASS": None,
    "EXCEPTION_HANDLER": "logbook.api.problems.problem_response",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Embermark",
    "DESCRIPTION": "Maintenance logbook of small gas-turbine engines that drive propellers or rotors.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["logbook.api.permissions.MayAct"],
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    # Without this the page asks a validator elsewhere about the schema.
    "SWAGGER_UI_SETTINGS": {"deepLinking": True, "validatorUrl": "none"},
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "logbook.api.schema.problems_describe",
    ],
    "ENUM_NAME_OVERRIDES": {
        "RunKind": "engines.models.Run.Kind",
        "MovementKind": "engines.models.PartMovement.Kind",
        "EntryKind": "logbook.models.Entry.Kind",
        "WorkKind": "logbook.models.Work.Kind",
        "WorkState": "logbook.models.Work.State",
        "PartDraftKind": "logbook.models.PartDraft.Kind",
        "PartLimitKind": "engines.models.PartLimit.Kind",
        "DiscrepancyState": "logbook.models.DiscrepancyLine.State",
        "TaskState": "logbook.api.schema.TASK_STATES",
        "TaskOutcome": "engines.models.TaskRecord.Outcome",
        "InspectionState": "logbook.api.schema.INSPECTION_STATES",
        "EntryState": "logbook.api.schema.ENTRY_STATES",
    },
}
