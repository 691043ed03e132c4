"""Every refusal of the REST door as problem details (RFC 9457), from one place."""

import logging
from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any, Final

from django.core.exceptions import ObjectDoesNotExist, PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.core.exceptions import ValidationError as ModelValidationError
from django.core.signals import got_request_exception
from django.http import Http404, HttpRequest, JsonResponse
from django.http.response import HttpResponseBase
from django.utils.log import log_response
from django.views import defaults
from rest_framework import exceptions
from rest_framework.serializers import as_serializer_error

from engines.errors import DomainError

MEDIA_TYPE: Final = "application/problem+json"
UNPROCESSABLE: Final = 422

# A refusal of ours is 422 unless its code stands here.
STATUS_OF_CODE: Final = {
    "document_invalid": 400,
    "name_taken": 409,
    "serial_taken": 409,
    "already_adopted": 409,
    "keying_needed": 409,
    "already_fitted": 409,
    "not_fitted": 409,
    "move_refused": 409,
    "closed": 409,
}

# Keys under which serializers and models report what concerns no single field.
OF_THE_WHOLE: Final = ("non_field_errors", "__all__")

log = logging.getLogger("django.request")


def problem(status: int, code: str, detail: str, fields: Mapping[str, str] | None = None) -> JsonResponse:
    """Return a problem document as a response."""
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": HTTPStatus(status).phrase,
        "status": status,
        "detail": detail,
        "code": code,
    }
    if fields:
        body["fields"] = dict(fields)
    return JsonResponse(body, status=status, content_type=MEDIA_TYPE)


def problem_response(exc: Exception, context: dict[str, Any]) -> JsonResponse:
    """Turn what a view raised into a problem document."""
    if isinstance(exc, DomainError):
        return problem(STATUS_OF_CODE.get(exc.code, UNPROCESSABLE), exc.code, exc.message, exc.fields)
    if isinstance(exc, Http404 | ObjectDoesNotExist):
        return problem(404, "not_found", "There is no such record.")
    if isinstance(exc, RequestDataTooBig):
        return problem(413, "too_large", str(exc))
    if isinstance(exc, SuspiciousOperation):
        return problem(400, "suspicious", str(exc))
    return _problem_of_framework(exc, context)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponseBase:
    """Answer a request that is refused before any address is looked at: here, too, REST gives a problem document."""
    if request.path.startswith("/api/"):
        return problem(400, "suspicious", "The request is not one that this site answers.")
    return defaults.bad_request(request, exception)


def _problem_of_framework(exc: Exception, context: dict[str, Any]) -> JsonResponse:
    if isinstance(exc, ModelValidationError):
        exc = exceptions.ValidationError(as_serializer_error(exc))
    if isinstance(exc, PermissionDenied):
        exc = exceptions.PermissionDenied(*exc.args)
    if isinstance(exc, exceptions.ValidationError):
        return _invalid(dict(_faults(exc.detail)))
    if isinstance(exc, exceptions.APIException):
        return _refused(exc)
    return _unexpected(exc, context)


def _refused(exc: exceptions.APIException) -> JsonResponse:
    response = problem(exc.status_code, str(exc.get_codes()), str(exc.detail))
    if header := getattr(exc, "auth_header", None):
        response["WWW-Authenticate"] = header
    return response


def _invalid(fields: dict[str, str]) -> JsonResponse:
    """Return the answer to a body or a query that does not have the right shape."""
    if list(fields) == [""]:
        return problem(400, "invalid", fields[""])
    detail = "; ".join(f"{path}: {message}" if path else message for path, message in fields.items())
    return problem(400, "invalid", detail, fields)


def _faults(detail: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Yield the path of each wrong field with what is wrong, however deep it stands."""
    if isinstance(detail, Mapping):
        for key, inner in detail.items():
            yield from _faults(inner, _path(path, key))
    elif isinstance(detail, list) and any(isinstance(item, Mapping) for item in detail):
        for position, inner in enumerate(detail):
            yield from _faults(inner, _path(path, position))
    else:
        yield path, " ".join(str(item) for item in detail) if isinstance(detail, list) else str(detail)


def _path(path: str, key: str | int) -> str:
    if key in OF_THE_WHOLE:
        return path
    if isinstance(key, int):
        return f"{path}[{key}]"
    return f"{path}.{key}" if path else key


def _unexpected(exc: Exception, context: dict[str, Any]) -> JsonResponse:
    """Report a fault of the program as Django would, and answer without its inside."""
    request = context["request"]
    got_request_exception.send(sender=type(context["view"]), request=request._request)
    response = problem(500, "fault", "The server met a fault of its own; nothing more is known to the client.")
    log_response("Fault: %s", request.path, response=response, request=request._request, exception=exc)
    return response
