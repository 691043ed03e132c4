"""The addresses that the accounts library asks for by name, under paths of ours; it has no others here."""

from allauth.account import views as account
from allauth.mfa.base import views as factors
from allauth.mfa.recovery_codes import views as recovery
from allauth.mfa.totp import views as totp
from allauth.mfa.webauthn import views as passkeys
from django.urls import path
from django.views.decorators.cache import never_cache

from logbook.views import accounts

# Second names, under which the library sends people to screens that are ours.
ALSO_KNOWN_AS = [
    path("sign-in/", accounts.sign_in, name="account_login"),
    path("sign-out/", accounts.sign_out, name="account_logout"),
    path("my-access/", accounts.token_list, name="mfa_index"),
    path("my-access/", accounts.token_list, name="mfa_list_webauthn"),
]

urlpatterns = [
    path("sign-in/code/", never_cache(factors.authenticate), name="mfa_authenticate"),
    path("sign-in/passkey/", passkeys.login_webauthn, name="mfa_login_webauthn"),
    path("sign-in/closed/", account.account_inactive, name="account_inactive"),
    path("my-access/confirm/", account.reauthenticate, name="account_reauthenticate"),
    path("my-access/confirm/code/", factors.reauthenticate, name="mfa_reauthenticate"),
    path("my-access/confirm/passkey/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
    path("my-access/password/", account.password_change, name="account_change_password"),
    path("my-access/app/", never_cache(totp.activate_totp), name="mfa_activate_totp"),
    path("my-access/app/remove/", totp.deactivate_totp, name="mfa_deactivate_totp"),
    path("my-access/recovery/", never_cache(recovery.view_recovery_codes), name="mfa_view_recovery_codes"),
    path("my-access/recovery/new/", recovery.generate_recovery_codes, name="mfa_generate_recovery_codes"),
    path("my-access/recovery/file/", recovery.download_recovery_codes, name="mfa_download_recovery_codes"),
    path("my-access/passkeys/add/", passkeys.add_webauthn, name="mfa_add_webauthn"),
    path("my-access/passkeys/<int:pk>/", passkeys.edit_webauthn, name="mfa_edit_webauthn"),
    path("my-access/passkeys/<int:pk>/remove/", passkeys.remove_webauthn, name="mfa_remove_webauthn"),
    *ALSO_KNOWN_AS,
]
