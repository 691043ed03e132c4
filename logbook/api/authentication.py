"""Bearer tokens: who a request of another program acts for."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from logbook.models import ApiToken, Person
from logbook.tokens import token_known, token_used

KEYWORD = "Bearer"


class BearerAuthentication(BaseAuthentication):
    """Reads ``Authorization: Bearer …``."""

    def authenticate(self, request: Request) -> tuple[Person, ApiToken] | None:
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != KEYWORD.lower():
            return None
        known = token_known(token.strip())
        if known is None:
            raise AuthenticationFailed("This token is not known here, or was revoked.", code="token_unknown")
        token_used(token=known)
        return known.person, known

    def authenticate_header(self, request: Request) -> str:
        return KEYWORD


class BearerScheme(OpenApiAuthenticationExtension):
    """How the schema describes the tokens."""

    target_class = "logbook.api.authentication.BearerAuthentication"
    name = "bearer"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}
