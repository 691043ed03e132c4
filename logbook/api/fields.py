"""Fields stricter than the framework's own: a record of evidence must not guess."""

import math
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

LARGEST = 2**31 - 1


class StrictSerializer(serializers.Serializer):
    """A body whose unknown keys are refused: a figure under a wrong name would be lost in silence."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, Mapping):
            known = [name for name, field in self.fields.items() if not field.read_only]
            unknown = {key: f"is not a field here; there are {', '.join(known)}" for key in data if key not in known}
            if unknown:
                raise serializers.ValidationError(unknown)
        return super().to_internal_value(data)


class FiniteField(serializers.FloatField):
    """A number that is one: neither infinite nor NaN."""

    def to_internal_value(self, data: Any) -> float:
        value: float = super().to_internal_value(data)
        if isinstance(data, bool) or not math.isfinite(value):
            self.fail("invalid")
        return value


@extend_schema_field(OpenApiTypes.DATETIME)
class MomentField(serializers.DateTimeField):
    """A moment with its offset from UTC, without which nobody knows when it was."""

    default_error_messages = {"naive": "Write the offset from UTC, for example 2026-05-04T07:30:00Z."}

    def to_internal_value(self, value: Any) -> datetime:
        if isinstance(value, str):
            try:
                parsed = parse_datetime(value.strip())
            except ValueError:
                parsed = None
            if parsed and timezone.is_naive(parsed):
                self.fail("naive")
        return super().to_internal_value(value)


class CountField(serializers.IntegerField):
    """A whole number from 0 that every database can keep."""

    def __init__(self, **options: Any) -> None:
        super().__init__(min_value=0, max_value=LARGEST, **options)


@extend_schema_field(OpenApiTypes.INT)
class SeenField(serializers.PrimaryKeyRelatedField):
    """The id of a record that whoever asks may see; another's is as unknown as one that never was."""

    default_error_messages = {"does_not_exist": "There is no record with the id {pk_value}."}

    def __init__(self, *, seen: Callable[[Any], QuerySet[Any]], **options: Any) -> None:
        self.seen = seen
        super().__init__(pk_field=CountField(), **options)

    def get_queryset(self) -> QuerySet[Any]:
        return self.seen(self.context["request"].user)
