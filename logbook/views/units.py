"""The units in which a person sees what is recorded."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from engines.models import EngineCalibration, TypeRevision
from engines.web import UNPROCESSABLE, ScreenRequest, screen
from logbook.forms.units import UnitsForm
from logbook.shown_units import choices_of, offered, units_choose


@screen("account")
def units_set(request: ScreenRequest) -> HttpResponse:
    """Choose the units in which temperatures and torque are shown to oneself."""
    operator = request.user.operator_id or 0
    revisions = TypeRevision.objects.filter(engine_type__operator_id=operator, is_adopted=True).order_by("number")
    newest = {revision.engine_type_id: revision for revision in revisions}
    rows = EngineCalibration.objects.filter(engine__operator_id=operator, replaced_by=None)
    there = offered([revision.data for revision in newest.values()], rows)
    data = request.POST if request.method == "POST" else None
    form = UnitsForm(data, offered=there, chosen=choices_of(request.user))
    if request.method == "POST" and form.is_valid():
        units_choose(person=request.user, chosen=form.chosen())
        messages.success(request, "Your units are kept. What is recorded, judged and signed stays as it is.")
        return redirect("token_list")
    return render(request, "logbook/units_set.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)
