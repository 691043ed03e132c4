"""Bearer tokens: who a request of another program acts for."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from logbook.models import Person
from logbook.tokens import token_person

KEYWORD = "Bearer"


class BearerAuthentication(BaseAuthentication):
    """Reads ``Authorization: Bearer …``."""

    def authenticate(self, request: Request) -> tuple[Person, str] | None:
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != KEYWORD.lower():
            return None
        person = token_person(token.strip())
        if person is None:
            raise AuthenticationFailed("This token is not known here, or was revoked.", code="token_unknown")
        return person, token

    def authenticate_header(self, request: Request) -> str:
        return KEYWORD


class BearerScheme(OpenApiAuthenticationExtension):
    """How the schema describes the tokens."""

    target_class = "logbook.api.authentication.BearerAuthentication"
    name = "bearer"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}
