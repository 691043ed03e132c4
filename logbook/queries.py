"""Reads of the top floor: entries, certificates and people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from engines.models import TypeRevision
from engines.queries import run_list
from inspections.queries import judgement_list
from logbook.job_rows import KEPT_FOR
from logbook.models import Authorization, Certificate, Concern, Entry, Person, PrintJob, SavedView, Unsigned
from logbook.photos.queries import photos_told

if TYPE_CHECKING:
    from datetime import date
    from uuid import UUID

    from engines.models import Engine, Run
    from inspections.models import Judgement


def entry_list(user: Person) -> QuerySet[Entry]:
    """Return the operator's entries, in order of their numbers."""
    found = Entry.objects.filter(operator_id=user.operator_id or 0)
    return found.select_related("engine__engine_type", "signed_by", "operator")


def entry_newest(user: Person) -> Entry | None:
    """Return the operator's newest entry, or None while there is none."""
    newest = Entry.objects.filter(operator_id=user.operator_id or 0).order_by("-number").values("pk")[:1]
    return entry_list(user).filter(pk__in=newest).first()


def entries_shown(user: Person) -> QuerySet[Entry]:
    """Return the operator's entries, each with the one that it corrects and the one that corrects it."""
    return entry_list(user).select_related("corrects", "corrected_by").defer("corrects__content")


def entry_for(user: Person, number: int) -> Entry:
    """Return one entry by its number; Entry.DoesNotExist where the person may not see it."""
    return entries_shown(user).select_related("run__recorded_by").get(number=number)


def entries_of(user: Person, engine: Engine, from_date: date | None, to_date: date | None) -> QuerySet[Entry]:
    """Return an engine's entries whose day of run or of completion lies in a span, both days included."""
    found = entry_list(user).filter(engine=engine)
    if from_date is not None:
        found = found.filter(completed_on__gte=from_date)
    return found if to_date is None else found.filter(completed_on__lte=to_date)


def judgement_shown(user: Person, run: UUID) -> Judgement:
    """Return the judgement that stands for a run, with all that its text names of others, in one query."""
    about = ("run__engine__engine_type", "run__engine__operator", "run__recorded_by", "run__unsigned__recorded_by")
    found = judgement_list(user).select_related(*about, "revision__entered_by", "revision__checked_by", "trace")
    earlier = Entry.objects.filter(run=OuterRef("run"), kind__in=Entry.RUNS).order_by("-number")
    told = {f"earlier_{name}": Subquery(earlier.values(name)[:1]) for name in ("number", "leaf_hash", "content")}
    return found.annotate(**told, photos_told=photos_told("run", "run")).get(run=run, is_current=True)


def entry_before(judgement: Judgement) -> Entry | None:
    """Return the entry in whose place a run's new one would stand, as far as its text tells it, or None."""
    if not hasattr(judgement, "earlier_number"):
        return run_entry_of(judgement.run)
    told = {name: getattr(judgement, f"earlier_{name}") for name in ("number", "leaf_hash", "content")}
    return None if told["number"] is None else Entry(**told)


def run_entry_of(run: Run) -> Entry | None:
    """Return the newest entry that says what was run, or None; a correction stands in its place."""
    return run.entries.filter(kind__in=Entry.RUNS).order_by("number").last()


def run_shown(user: Person, pk: UUID | str) -> Run:
    """Return one run with its photos, whether it waits to be signed, and how many ``earlier`` judgements it has.

    Raises Run.DoesNotExist where the person may not see it.
    """
    earlier = Count("judgements", filter=Q(judgements__is_current=False))
    found = run_list(user).select_related("unsigned__recorded_by")
    return found.annotate(earlier=earlier, photos_told=photos_told("run")).get(pk=pk)


def unsigned_list(user: Person) -> QuerySet[Unsigned]:
    """Return the operator's runs that are not signed as they stand, oldest first."""
    found = Unsigned.objects.filter(operator_id=user.operator_id or 0)
    return found.select_related("run__engine", "engine", "recorded_by")


def certificates_valid(person: Person, on: date) -> QuerySet[Certificate]:
    """Return the certificates that a person could sign under on a day."""
    begun = Q(valid_from__isnull=True) | Q(valid_from__lte=on)
    not_ended = Q(valid_until__isnull=True) | Q(valid_until__gte=on)
    return person.certificates.filter(begun & not_ended, replaced_by=None)


def signers_of(user: Person) -> QuerySet[Person]:
    """Return the people of the person's operator who have signed an entry, those who left among them."""
    # Asked of each person, since a long logbook has few signers.
    signed = Entry.objects.filter(operator_id=user.operator_id or 0, signed_by=OuterRef("pk"))
    return Person.objects.filter(Exists(signed)).order_by("last_name", "username")


def colleagues_of(user: Person) -> QuerySet[Person]:
    """Return the people of the person's operator."""
    return Person.objects.filter(operator_id=user.operator_id or 0, is_active=True).order_by("last_name", "username")


def saved_view_list(user: Person) -> QuerySet[SavedView]:
    """Return the saved views of the people of the person's operator."""
    return SavedView.objects.filter(person__operator_id=user.operator_id or 0)


def saved_view_for(user: Person, pk: UUID) -> SavedView:
    """Return one saved view; SavedView.DoesNotExist where the person may not see it."""
    return saved_view_list(user).select_related("person").get(pk=pk)


def concern_list(user: Person) -> QuerySet[Concern]:
    """Return what the operator has to settle and what is settled, oldest first."""
    found = Concern.objects.filter(operator_id=user.operator_id or 0)
    about = ("run__engine", "run__recorded_by", "engine", "revision__engine_type")
    return found.select_related(*about, "raised_by", "settlement__settled_by")


def concern_for(user: Person, pk: int) -> Concern:
    """Return one concern; Concern.DoesNotExist where the person may not see it."""
    return concern_list(user).get(pk=pk)


def person_list(user: Person) -> QuerySet[Person]:
    """Return the people of the person's operator, those whose accounts are closed too."""
    people = Person.objects.filter(operator_id=user.operator_id or 0)
    return people.order_by("-is_active", "last_name", "first_name", "username")


def person_for(user: Person, pk: int) -> Person:
    """Return one colleague; Person.DoesNotExist where the person may not see them."""
    return person_list(user).get(pk=pk)


def authorization_list(user: Person) -> QuerySet[Authorization]:
    """Return every line of the operator's list of who may inspect what, ended ones too."""
    lines = Authorization.objects.filter(operator_id=user.operator_id or 0)
    return lines.select_related("person", "engine_type", "listed_by", "ended_by")


def authorization_for(user: Person, pk: int) -> Authorization:
    """Return one line of the list; Authorization.DoesNotExist where the person may not see it."""
    return authorization_list(user).get(pk=pk)


def authorizations_on(day: date) -> QuerySet[Authorization]:
    """Return the lines that hold on a day, of any operator; a line does not hold on the day on which it ended."""
    standing = Q(ended_on__isnull=True) | Q(ended_on__gt=day)
    return Authorization.objects.filter(standing, begins_on__lte=day).select_related("engine_type", "listed_by")


def required_items(operator: int) -> list[str]:
    """Return the names of the required inspection items in the limits that an operator has adopted, in order."""
    adopted = TypeRevision.objects.filter(engine_type__operator=operator, is_adopted=True)
    charts = [chart for revision in adopted for chart in revision.data.charts]
    actions = [rule.action for chart in charts for rule in chart.areas]
    actions += [rule.action for chart in charts for rule in chart.repeats]
    return sorted({action.summary for action in actions if action.required_inspection_item})


def print_job_list(user: Person) -> QuerySet[PrintJob]:
    """Return the sets that a person had printed in the background within the last day."""
    return PrintJob.objects.filter(person=user, asked_at__gte=timezone.now() - KEPT_FOR)


def print_job_for(user: Person, pk: UUID) -> PrintJob:
    """Return one of the person's own; PrintJob.DoesNotExist where it is somebody else's, or a day old."""
    return print_job_list(user).get(pk=pk)
