"""The door of a phone's outbox: who is signed in, and one item at a time, answered with a receipt."""

import json
from typing import Any

from django.core.exceptions import ValidationError as FormError
from django.middleware.csrf import get_token
from django.utils import timezone as clock
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.authentication import SessionAuthentication
from rest_framework.exceptions import ValidationError
from rest_framework.parsers import JSONParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.errors import DomainError
from logbook.api.base import person_of
from logbook.forms.traces import file_checked
from logbook.judging import columns_remembered
from logbook.outbox.items import Item, upgraded
from logbook.outbox.rows import Arrival
from logbook.outbox.taking import item_take
from logbook.shell import shell_version
from logbook.views.phone import pages_to_keep

LONGEST = 60_000
FURTHEST_MIN = 24 * 60


class Signed(SessionAuthentication):
    """The session of the person at the phone; a token is another program's, and keeps no outbox."""

    def authenticate_header(self, request: Request) -> str:
        return "Session"


class PairField(serializers.ListField):
    """The name of a box and what was typed into it."""

    child = serializers.CharField(allow_blank=True, trim_whitespace=False, max_length=LONGEST)

    def __init__(self, **options: Any) -> None:
        super().__init__(min_length=2, max_length=2, **options)


class ItemBody(serializers.Serializer):
    """An item of the outbox in the newest format; older ones are read too."""

    id = serializers.UUIDField(help_text="Chosen on the phone, once.")
    kind = serializers.CharField(max_length=20, help_text="What it does, such as run, trace, answer or handover.")
    author = serializers.IntegerField(help_text="The number of the person who wrote it.")
    about = serializers.CharField(
        max_length=80, help_text="The engine's id; of a trace the run's; an inspection's id, with /step for an answer."
    )
    fields = serializers.ListField(child=PairField(), help_text="Boxes of the sheet as typed.")  # type: ignore[assignment]
    charts = serializers.ListField(child=serializers.CharField(max_length=120), required=False)
    kept_at = serializers.DateTimeField(help_text="By the phone's clock, when it was kept.")
    kept_offset_min = serializers.IntegerField(required=False, min_value=-FURTHEST_MIN, max_value=FURTHEST_MIN)
    sent_at = serializers.DateTimeField(help_text="By the phone's clock, now.")
    verdict = serializers.JSONField(required=False, help_text="What the phone computed.")
    sha256 = serializers.RegexField(r"^[0-9a-f]{64}$", required=False, help_text="Of the file that goes with it.")
    format = serializers.IntegerField(required=False)


def receipt_of(arrival: Arrival) -> dict[str, Any]:
    """Return the proof that an item arrived, the same however often it is asked for."""
    return {
        "id": str(arrival.item),
        "receipt": arrival.pk,
        "received_at": arrival.received_at,
        "is_late": arrival.is_late,
        **arrival.answer,
    }


def item_read(data: Any) -> Item:
    """Return an item as sent, in whatever format."""
    try:
        known = upgraded(data if isinstance(data, dict) else {})
    except (ValueError, TypeError) as error:
        raise ValidationError({"format": [str(error)]}) from error
    body = ItemBody(data=known)
    body.is_valid(raise_exception=True)
    stated: dict[str, Any] = dict(body.validated_data)
    stated.pop("format", None)
    pairs = [(name, value) for name, value in stated.pop("fields")]
    return Item(fields=pairs, **stated)


def item_stated(form: Any) -> Any:
    """Return the item of a form with a file."""
    try:
        return json.loads(form["item"])
    except (ValueError, RecursionError) as error:
        raise ValidationError({"item": ["Write the item as JSON."]}) from error


def file_taken(file: Any) -> Any:
    """Return the file; DomainError "trace_unusable" where it is too large."""
    try:
        return file_checked(file)
    except FormError as error:
        raise DomainError(" ".join(error.messages), code="trace_unusable") from error


@extend_schema(exclude=True)
class OutboxView(APIView):
    """Where a phone asks whether the server answers, and hands over what it kept; no door for other programs.

    An item with a file is a form of two parts: ``item``, as JSON, and ``file``.
    """

    authentication_classes = [Signed]
    parser_classes = [JSONParser, MultiPartParser]

    def get(self, request: Request) -> Response:
        """Say who is signed in, and what is worth keeping; nobody is an answer too."""
        here: dict[str, Any] = {"now": clock.now(), "version": shell_version(), "person": None, "pages": []}
        if request.user.is_authenticated:
            person = person_of(request)
            here |= {"person": person.pk, "name": str(person), "pages": pages_to_keep(person)}
            here |= {"columns": columns_remembered(person)}
        return Response({**here, "csrf": get_token(request._request)})

    def post(self, request: Request) -> Response:
        """Do what the item says, once, and answer with its id and a receipt number.

        The same item again gets the same answer. Its id with another content is 422, ``id_used_with_other_body``.
        An item about an inspection that was closed meanwhile is stored and changes nothing; the director is told.
        """
        file = request.FILES.get("file")
        stated = item_stated(request.data) if "item" in request.data else request.data
        arrival, is_new = item_take(item=item_read(stated), by=person_of(request), file=file_taken(file))
        return Response(receipt_of(arrival), status=201 if is_new else 200)
