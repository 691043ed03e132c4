"""Photos: sent once however often they are sent, listed, and given back as pictures."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.parsers import DataAndFiles, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from logbook.api.base import AnyAccept, RecordViewSet, person_of
from logbook.api.fields import MomentField
from logbook.filters import PhotoFilter
from logbook.models import Photo
from logbook.photos.actions import PhotoFacts, photo_add
from logbook.photos.images import MEDIA_TYPE
from logbook.photos.queries import photo_for, photo_list
from logbook.photos.things import thing_for
from logbook.views.photos import picture_sent

WORDS_BYTES = 64 * 1024  # of a form, beside the photo in it
FURTHEST_MIN = 24 * 60
FIRST_YEAR, LAST_YEAR = 1900, 9000
PICTURE = {(200, MEDIA_TYPE): OpenApiTypes.BINARY}


class PhotoFormParser(MultiPartParser):
    """A form with one photo in it."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> DataAndFiles:
        length, most = int((parser_context or {})["request"].META.get("CONTENT_LENGTH") or 0), photo_most()
        if length > most + WORDS_BYTES:
            raise RequestDataTooBig(f"The photo has {length} bytes; at most {most} are taken.")
        return super().parse(stream, media_type, parser_context)


def photo_most() -> int:
    """Return how large a photo may be. [bytes]"""
    most: int = settings.PHOTO_UPLOAD_MAX_BYTES
    return most


class PhotoBody(serializers.Serializer):
    """A photo, what it is of, and what it shows."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the sender, so that sending again is harmless.")
    about = serializers.RegexField(
        "^[a-z]+/[^/]+$",
        max_length=80,
        help_text="run/ID, inspection/ID, step/ID, finding/ID, action/ID or work/ID; item/ID for what an outbox sent.",
    )
    caption = serializers.CharField(max_length=240, default="", allow_blank=True)
    kept_at = MomentField(required=False, help_text="By the clock of the device, when it was kept there.")
    kept_offset_min = serializers.IntegerField(default=0, min_value=-FURTHEST_MIN, max_value=FURTHEST_MIN)
    file = serializers.FileField(help_text="JPEG, PNG or WebP; what is kept of it is the picture alone.")

    def validate_kept_at(self, moment: datetime) -> datetime:
        """Refuse a moment at the ends of the calendar, which cannot be told in every zone."""
        if not FIRST_YEAR <= moment.year <= LAST_YEAR:
            raise serializers.ValidationError(f"Write a moment of the years {FIRST_YEAR} to {LAST_YEAR}.")
        return moment


class PhotoSerializer(serializers.ModelSerializer):
    """A photo, by its hash; ``sent_sha256`` is that of the file as it was sent."""

    added_by = serializers.CharField(source="added_name")

    class Meta:
        model = Photo
        fields = [
            "id",
            "engine",
            "run",
            "inspection",
            "step",
            "finding",
            "action",
            "work",
            "of",
            "caption",
            "sha256",
            "sent_sha256",
            "width",
            "height",
            "size",
            "kept_at",
            "added_by",
            "added_at",
        ]


class PhotoViewSet(RecordViewSet):
    """Photos of runs, inspections and work."""

    queryset = Photo.objects.none()
    serializer_class = PhotoSerializer
    filterset_class = PhotoFilter
    lookup_value_converter = "uuid"
    parser_classes = [PhotoFormParser]

    def get_queryset(self) -> Any:
        return photo_list(self.person)

    @extend_schema(summary="List the photos, oldest first")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(PhotoSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show what is known of a photo")
    def retrieve(self, request: Request, pk: Any) -> Response:
        return self.respond(PhotoSerializer(photo_for(self.person, pk)))

    @extend_schema(
        summary="Add a photo",
        request={"multipart/form-data": PhotoBody},
        responses={201: PhotoSerializer, 200: OpenApiResponse(PhotoSerializer, "The same photo was sent before.")},
    )
    def create(self, request: Request) -> Response:
        """Keep the picture alone, upright and at most 2000 pixels long; it is told by the entry that is signed next.

        The same photo with the same id changes nothing.
        """
        stated = self.sent(PhotoBody)
        file, about = stated.pop("file"), stated.pop("about")
        if file.size > photo_most():
            raise RequestDataTooBig(f"The photo has {file.size} bytes; at most {photo_most()} are taken.")
        thing = thing_for(self.person, *about.split("/", 1))
        photo, is_new = photo_add(thing=thing, data=file.read(), facts=PhotoFacts(**stated), by=self.person)
        return self.respond(PhotoSerializer(photo), 201 if is_new else 200)


class PhotoFileView(APIView):
    """A photo as it is kept."""

    content_negotiation_class = AnyAccept

    @extend_schema(operation_id="photos_file_retrieve", summary="Download a photo", responses=PICTURE)
    def get(self, request: Request, pk: UUID) -> HttpResponse:
        photo = photo_for(person_of(request), pk)
        return picture_sent(str(photo.file.name), photo, "photo")


class PhotoPreviewView(APIView):
    """The small picture of a photo."""

    content_negotiation_class = AnyAccept

    @extend_schema(
        operation_id="photos_preview_retrieve", summary="Download the small picture of a photo", responses=PICTURE
    )
    def get(self, request: Request, pk: UUID) -> HttpResponse:
        photo = photo_for(person_of(request), pk)
        return picture_sent(str(photo.preview.name), photo, "preview")
