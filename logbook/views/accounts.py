"""Coming in and going out."""

from django.contrib.auth import views

from logbook.forms.accounts import SignInForm

sign_in = views.LoginView.as_view(
    template_name="logbook/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = views.LogoutView.as_view()
