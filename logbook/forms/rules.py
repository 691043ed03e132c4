"""The sheets on which an operator's rules and the templates of its statements are kept."""

from django import forms

from logbook.forms.fields import TEXT, Sheet
from logbook.statements.elements import RULESETS


class RulesForm(Sheet):
    """Under which rules the operator releases to service."""

    ruleset = forms.ChoiceField(label="Rules", choices=list(RULESETS.items()), widget=forms.RadioSelect)
    organisation = forms.CharField(
        label="Organisation",
        required=False,
        max_length=160,
        widget=forms.TextInput(TEXT),
        help_text="As statements are to name it.",
    )
    approval = forms.CharField(label="Approval reference", required=False, max_length=80, widget=forms.TextInput(TEXT))
    required_words = {"ruleset": "Choose the rules."}


class TemplateForm(Sheet):
    """One template."""

    template = forms.CharField(
        label="Template",
        required=False,
        widget=forms.Textarea({**TEXT, "rows": 10}),
        help_text="Empty: the standard one. What stands between braces is filled in when an entry is signed.",
    )
