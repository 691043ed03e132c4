"""The rules an operator works to: which rule-set, and the words of its statements."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from engines.web import UNPROCESSABLE, ScreenRequest, recorded, screen, sent
from logbook.forms.rules import RulesForm, TemplateForm
from logbook.maintenance import rules as kept
from logbook.statements.elements import PLACES, elements_of
from logbook.statements.standard import STANDARD
from logbook.statements.templates import template_faults

KEEP = "rules.keep"


@screen("read", KEEP)
def rules_detail(request: ScreenRequest) -> HttpResponse:
    """Show the rules that the operator works to and its statements, and let the director choose."""
    rules = kept.rules_of(request.user.operator_id)
    now = {name: getattr(rules, name) for name in ("ruleset", "organisation", "approval")} if rules else {}
    form = RulesForm(sent(request)[0], initial=now)
    chosen = form.act(lambda: kept.rules_choose(by=request.user, **form.cleaned_data)) if form.is_bound else None
    if chosen is not None:
        messages.success(request, "The rules are chosen. Entries that are signed already stay as they are.")
        return redirect("rules_detail")
    statements = [
        (outcome, words, kept.template_of(rules, outcome), outcome in rules.templates)
        for outcome, words in (kept.outcomes_of(rules) if rules else {}).items()
        if rules
    ]
    context = {"rules": rules, "form": form, "statements": statements, "may_keep": request.user.may(KEEP)}
    return render(request, "logbook/rules_detail.html", context, status=UNPROCESSABLE if form.errors else 200)


@screen(KEEP)
def template_change(request: ScreenRequest, outcome: str) -> HttpResponse:
    """Change the words of a statement: looked at first with what they lack, then kept."""
    rules = kept.rules_of(request.user.operator_id)
    if rules is None or outcome not in kept.outcomes_of(rules):
        raise Http404(f"There is no outcome {outcome!r} under these rules.")
    form = TemplateForm(sent(request)[0], initial={"template": kept.template_of(rules, outcome)})
    text = form.cleaned_data["template"] if form.is_valid() else form.initial["template"]
    faults = template_faults(text, rules.ruleset, outcome) if text else {}
    keeps = request.POST.get("stage") == "keep"
    if keeps and not faults:
        kept.template_change(by=request.user, outcome=outcome, template=text)
        recorded(request, "The template is kept. Entries that are signed already stay as they are.")
        return redirect("rules_detail")
    context = {
        "form": form,
        "rules": rules,
        "words": kept.outcomes_of(rules)[outcome],
        "faults": faults,
        "preview": kept.template_preview(text or STANDARD[rules.ruleset][outcome]),
        "places": PLACES,
        "elements": elements_of(rules.ruleset, outcome),
    }
    return render(request, "logbook/template_change.html", context, status=UNPROCESSABLE if keeps else 200)
