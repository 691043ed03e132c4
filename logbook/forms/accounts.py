"""The sheet on which a person signs in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Name and password; the refusal does not say which of the two was wrong."""

    error_messages = {
        "invalid_login": "That name and password do not belong together. Check both; capitals count in the password.",
        "inactive": "This account is closed. Ask your director of maintenance.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["username"].label = "Name you sign in with"
        self.fields["username"].error_messages["required"] = "Give the name you sign in with."
        self.fields["password"].error_messages["required"] = "Give your password."
