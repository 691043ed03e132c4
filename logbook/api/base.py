"""What the views of the REST door share: who may see what, and how one record is reached."""

from typing import Any, cast

from rest_framework.negotiation import DefaultContentNegotiation
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from engines.models import Operator
from logbook.models import Person


def person_of(request: Request) -> Person:
    """Return who asks; permission has seen to it that it is somebody."""
    return cast(Person, request.user)


def operator_of(request: Request) -> Operator:
    """Return whose records are asked for; nobody without an operator passes the permission."""
    return cast(Operator, person_of(request).operator)


class AnyAccept(DefaultContentNegotiation):
    """For downloads, which have one form whatever the client says it prefers."""

    def select_renderer(self, request: Request, renderers: Any, format_suffix: Any = None) -> Any:
        return renderers[0], renderers[0].media_type


class RecordViewSet(GenericViewSet):
    """Answers from records that whoever asks may see."""

    lookup_value_converter = "int"

    @property
    def person(self) -> Person:
        """Return who asks."""
        return person_of(self.request)

    def asked_page(self) -> list[Any]:
        """Return the rows of the asked page of what the filters leave."""
        return list(self.paginate_queryset(self.filter_queryset(self.get_queryset())) or [])

    def sent(self, serializer: type) -> Any:
        """Return what the body of the request says, checked."""
        body = serializer(data=self.request.data, context=self.get_serializer_context())
        body.is_valid(raise_exception=True)
        return body.validated_data

    def respond(self, shown: Any, status: int = 200) -> Response:
        """Return a serializer's data as the answer."""
        return Response(shown.data, status=status)
