"""What other programs send of parts: the shape of each body, checked; whether it can be so is decided by the acts."""

from decimal import Decimal
from typing import Any, Final

from django.db.models import TextChoices
from rest_framework import serializers

from engines.actions.limits import OVERHAUL_STEPS
from engines.models import PartLimit, PartMovement
from engines.part_queries import component_list
from engines.queries import engine_list
from logbook.api.fields import CountField, MomentField, SeenField, StrictSerializer

METHOD: Final = "The method of 14 CFR 43.10(c) by which a life-limited part is controlled."
ID: Final = "Chosen by whoever sends it, so that sending it twice is harmless."


class DraftBody(StrictSerializer):
    """What every draft may say: its own number, by which a repeat is known."""

    id = serializers.UUIDField(required=False, help_text=ID)


class ComponentBody(DraftBody):
    """A new component, with what it had used when its record here begins."""

    part_number = serializers.CharField(max_length=60)
    serial = serializers.CharField(max_length=60)
    description = serializers.CharField(max_length=120, default="", allow_blank=True)
    brought_run_time_s = CountField(default=0)
    brought_time_in_service_s = CountField(default=0)
    brought_starts = CountField(default=0)
    brought_cycles = CountField(default=0)
    brought_partial_cycles = CountField(default=0)
    made_on = serializers.DateField(default=None, allow_null=True)
    opening_basis = serializers.CharField(help_text="Where the figures come from.")
    opening_document = serializers.CharField(max_length=240, default="", allow_blank=True)
    opening_is_reconstructed = serializers.BooleanField(default=False)


class HostBody(DraftBody):
    """To which engine or into which other component, and at which place of it."""

    engine = SeenField(seen=engine_list, default=None, allow_null=True)
    parent = SeenField(seen=component_list, default=None, allow_null=True)  # type: ignore[assignment]  # a key
    position = serializers.CharField(max_length=60, default="", allow_blank=True)
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)
    release_certificate = serializers.CharField(
        max_length=240, default="", allow_blank=True, help_text="Form, number and date, and who issued it."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Refuse two hosts: nobody would know which."""
        if attrs["engine"] is not None and attrs["parent"] is not None:
            raise serializers.ValidationError({"parent": "Name an engine or a parent, not both."})
        return attrs


class FitBody(HostBody):
    """Where and when a component was fitted: to an engine, or into another component."""

    control = serializers.ChoiceField(
        PartMovement.Control.choices,
        default="",
        allow_blank=True,
        help_text=f"{METHOD} Where a temporary removal was none.",
    )
    at = MomentField()


class RemoveBody(DraftBody):
    """When a component was removed, and how one with a life limit is controlled (14 CFR 43.10)."""

    control = serializers.ChoiceField(PartMovement.Control.choices, default="", allow_blank=True, help_text=METHOD)
    is_temporary = serializers.BooleanField(default=False)
    place = serializers.CharField(max_length=120, default="", allow_blank=True)
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)
    at = MomentField()


class MoveBody(HostBody):
    """A component removed and fitted elsewhere in one act; two entries, signed together."""

    control = serializers.ChoiceField(PartMovement.Control.choices, default="", allow_blank=True, help_text=METHOD)
    at = MomentField(help_text="When it was removed.")
    fitted_at = MomentField(default=None, allow_null=True, help_text="Null: at the same moment.")


class SendBody(DraftBody):
    """To whom a component went, and what goes with it."""

    to = serializers.CharField(max_length=120)
    control = serializers.ChoiceField(PartMovement.Control.choices, default="", allow_blank=True, help_text=METHOD)
    at = MomentField()


class ReturnBody(DraftBody):
    """From whom a component came back, and what it had used in all by then, by the record that came with it."""

    place = serializers.CharField(max_length=120, help_text="From whom it came back.")
    at = MomentField()
    run_time_s = CountField(help_text="Since new. [s]")
    time_in_service_s = CountField(help_text="Since new. [s]")
    starts = CountField()
    cycles = CountField()
    partial_cycles = CountField()
    other = serializers.DictField(child=CountField(), default=dict, help_text="What the type counts besides.")
    remarks = serializers.CharField(
        max_length=240, help_text="By which record: log card, tag or history, and its date."
    )
    control = serializers.ChoiceField(PartMovement.Control.choices, default="", allow_blank=True, help_text=METHOD)


class StrikeBody(DraftBody):
    """Which line of the ledger is wrong, and why; it must be the newest that stands."""

    line = CountField(help_text="The id of the line among the movements.")
    reason = serializers.CharField(max_length=240)


class LimitFactsBody(DraftBody):
    """How much a source allows, in the limit's own unit."""

    amount = CountField(help_text="In the unit: seconds for times.")
    unit = serializers.ChoiceField(choices=PartLimit.Unit.choices)
    weight = serializers.DecimalField(
        max_digits=9,
        decimal_places=6,
        default=Decimal(0),
        help_text="What a partial cycle counts for.",
    )
    tolerance = CountField(default=0, help_text="In the unit; only what the source grants.")
    source = serializers.CharField(max_length=240)  # type: ignore[assignment]  # a key, not the field's own source
    source_revision = serializers.CharField(max_length=60)
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)


class LimitBody(LimitFactsBody):
    """A limit that a part number, or one serial of it, has by its source."""

    kind = serializers.ChoiceField(choices=PartLimit.Kind.choices)
    parameter = serializers.CharField(max_length=60, help_text="A counter's name, equivalent_cycles or calendar.")
    only_this = serializers.BooleanField(default=False, help_text="Of this serial only.")


class DoneBody(DraftBody):
    """That an overhaul or an inspection was done; an overhaul needs every step and its test (14 CFR 43.2)."""

    at = MomentField()
    reference = serializers.CharField(max_length=240, help_text="Document, revision and section worked to.")
    steps = serializers.MultipleChoiceField(choices=list(OVERHAUL_STEPS.items()), default=set)
    tested_by = serializers.CharField(max_length=240, default="", allow_blank=True)


class ListBody(StrictSerializer):
    """A list of parts as a file: CSV or XLSX, one part a row."""

    file = serializers.FileField()
    id = serializers.UUIDField(required=False, help_text=ID)


class Fate(TextChoices):
    """What would become of a row."""

    ENTERED = "entered", "Would be entered"
    REFUSED = "refused", "Refused"


class RowFateSerializer(serializers.Serializer):
    """What would become of one row of a list; ``row`` is counted as the file shows it."""

    sheet = serializers.CharField()
    row = serializers.IntegerField()
    column = serializers.CharField(allow_blank=True, help_text="Empty where it is about the whole row.")
    fate = serializers.ChoiceField(choices=Fate.choices)
    words = serializers.CharField()


class ListFateSerializer(serializers.Serializer):
    """What would become of every row of a list; nothing is kept unless every row can be."""

    may_be_kept = serializers.BooleanField()
    rows = RowFateSerializer(many=True)
