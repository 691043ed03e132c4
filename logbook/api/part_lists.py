"""Lists of parts as files."""

from typing import Any, Final

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from engines.bulk import PartList, part_list_read, row_plain
from engines.models import Component
from logbook.api.parsers import TraceFormParser
from logbook.api.part_bodies import Fate, ListBody, ListFateSerializer
from logbook.api.part_drafts import DRAFTED, KEPT, DraftingViewSet, PartDraftSerializer
from logbook.forms.bulk import MOST_BYTES
from logbook.part_drafts.rows import PartDraft
from logbook.part_lists import BulkRefused, fates_of

UPLOAD: Final = {"multipart/form-data": ListBody}


class PartListView(DraftingViewSet):
    """An operator's list of parts with their times, as a file: shown row by row, then all of it or nothing."""

    queryset = Component.objects.none()
    serializer_class = PartDraftSerializer
    pagination_class = None
    filterset_class = None
    parser_classes = [TraceFormParser]

    def listed(self) -> tuple[dict[str, Any], PartList]:
        """Return the body with the list that was read from its file."""
        stated = self.sent(ListBody)
        file = stated.pop("file")
        if file.size > MOST_BYTES:
            raise serializers.ValidationError({"file": f"The file is larger than {MOST_BYTES >> 20} MB; divide it."})
        return stated, part_list_read(file.read(), file.name)

    @extend_schema(summary="Show the fate of every row of a list", request=UPLOAD, responses=ListFateSerializer)
    def preview(self, request: Request) -> Response:
        """Nothing is kept."""
        fates = fates_of(self.listed()[1], self.person)
        rows = [{**vars(fate.row), "fate": Fate.ENTERED if fate.is_entered else Fate.REFUSED} for fate in fates]
        told = {"may_be_kept": all(fate.is_entered for fate in fates), "rows": rows}
        return self.respond(ListFateSerializer(told))

    @extend_schema(summary="Send a list of parts", description=KEPT, request=UPLOAD, responses=DRAFTED)
    def keep(self, request: Request) -> Response:
        stated, found = self.listed()
        if found.faults:
            raise BulkRefused(found.faults)
        return self.drafted(PartDraft.Kind.LIST, stated, rows=[row_plain(row) for row in found.rows])
