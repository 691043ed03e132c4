from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.core.exceptions import ValidationError as ModelValidationError
from django.http import Http404
from django.test import Client
from rest_framework import exceptions
from rest_framework.test import APIClient, APIRequestFactory
from rest_framework.views import APIView

from engines.errors import DocumentError, DomainError, TraceError
from engines.models import Run
from logbook.api.problems import problem_response
from logbook.models import Person
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of


@pytest.mark.parametrize(
    ("raised", "status", "code", "detail"),
    [
        (DomainError("No.", code="some_rule"), 422, "some_rule", "No."),
        (DomainError("Taken.", code="serial_taken"), 409, "serial_taken", "Taken."),
        (DocumentError("name: is missing"), 400, "document_invalid", "name: is missing"),
        (TraceError("Row 3, column itt."), 422, "trace_unusable", "Row 3, column itt."),
        (Http404("inside"), 404, "not_found", "There is no such record."),
        (Run.DoesNotExist("inside"), 404, "not_found", "There is no such record."),
        (PermissionDenied("Not you."), 403, "permission_denied", "Not you."),
        (RequestDataTooBig("Long."), 413, "too_large", "Long."),
        (SuspiciousOperation("Odd."), 400, "suspicious", "Odd."),
        (exceptions.MethodNotAllowed("PUT"), 405, "method_not_allowed", 'Method "PUT" not allowed.'),
        (exceptions.ParseError("Odd."), 400, "parse_error", "Odd."),
        (exceptions.ValidationError("Alone."), 400, "invalid", "Alone."),
        (ModelValidationError("Of a model."), 400, "invalid", "Of a model."),
    ],
)
def test_what_is_raised_becomes_a_problem(raised: Exception, status: int, code: str, detail: str) -> None:
    body = problem_of(problem_response(raised, {}), status)
    assert (body["code"], body["detail"], body["type"]) == (code, detail, "about:blank")
    assert "fields" not in body


# What a list field raises, which the framework's own types do not know.
BY_POSITION: Any = {0: ["Odd."]}


@pytest.mark.parametrize(
    ("raised", "fields"),
    [
        (DomainError("No.", fields={"charts[0].limit": "must be a number"}), {"charts[0].limit": "must be a number"}),
        (exceptions.ValidationError({"kind": ["Is", "missing."]}), {"kind": "Is missing."}),
        (exceptions.ValidationError({"kind": "Alone."}), {"kind": "Alone."}),
        (exceptions.ValidationError({"rows": [{}, {"peak": ["Odd."]}]}), {"rows[1].peak": "Odd."}),
        (exceptions.ValidationError({"rows": BY_POSITION}), {"rows[0]": "Odd."}),
        (exceptions.ValidationError({"a": {"non_field_errors": ["Odd."]}}), {"a": "Odd."}),
        (ModelValidationError({"serial": ["Taken."], "__all__": ["Odd."]}), {"serial": "Taken.", "": "Odd."}),
    ],
)
def test_every_wrong_field_is_named_by_its_path(raised: Exception, fields: dict[str, str]) -> None:
    assert problem_response(raised, {}).status_code in (400, 422)
    assert problem_of(problem_response(raised, {}), problem_response(raised, {}).status_code)["fields"] == fields


def test_the_sentence_of_a_wrong_body_names_the_fields() -> None:
    raised = exceptions.ValidationError({"kind": ["Is missing."], "non_field_errors": ["Odd."]})
    assert problem_of(problem_response(raised, {}), 400)["detail"] == "kind: Is missing.; Odd."


@pytest.mark.parametrize("path", ["", "nothing/", "engines", "engines/0x10/", "runs/5/", "entries/1/print", "schema"])
@pytest.mark.parametrize("method", ["get", "post", "options"])
def test_an_address_that_is_none_is_a_problem_too(path: str, method: str) -> None:
    assert problem_of(getattr(APIClient(), method)(f"{API}{path}"), 404)["code"] == "not_found"


@pytest.mark.parametrize(("path", "kind"), [(f"{API}engines/", "application/problem+json"), ("/engines/", "text/html")])
def test_a_name_that_the_site_does_not_answer_to(path: str, kind: str, client: Client) -> None:
    response = client.get(path, HTTP_HOST="elsewhere.invalid")
    assert (response.status_code, response["Content-Type"].partition(";")[0]) == (400, kind)


def test_other_methods_are_refused(door: Door, director: Person) -> None:
    assert problem_of(door(director).delete(f"{API}engines/"), 405)["code"] == "method_not_allowed"


def test_a_body_of_another_type_is_refused(door: Door, director: Person) -> None:
    response = door(director).post(f"{API}engines/", "serial=1", content_type="application/x-www-form-urlencoded")
    assert problem_of(response, 415)["code"] == "unsupported_media_type"


def test_an_answer_of_another_type_is_not_to_be_had(door: Door, director: Person) -> None:
    response = door(director).get(f"{API}engines/", HTTP_ACCEPT="image/png")
    assert problem_of(response, 406)["code"] == "not_acceptable"


def test_a_page_past_the_last_is_a_problem(door: Door, director: Person) -> None:
    assert problem_of(door(director).get(f"{API}engines/?page=2"), 404)["detail"] == "Invalid page."


class Broken(APIView):
    authentication_classes: Any = []
    permission_classes: Any = []

    def get(self, request: Any) -> None:
        raise ZeroDivisionError("inside")


def test_a_fault_of_the_program_tells_nothing_of_its_inside(caplog: pytest.LogCaptureFixture) -> None:
    body = problem_of(Broken.as_view()(APIRequestFactory().get("/broken/")), 500)
    assert body["code"] == "fault"
    assert "inside" not in str(body)
    assert caplog.records[0].exc_info is not None
