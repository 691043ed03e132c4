"""Templates against the clauses that ask: 14 CFR 43.9, 43.11, 135.443, AMC M.A.801(f), 145.A.50, CAR 571.10."""

import re

import pytest

from logbook.statements import elements as e
from logbook.statements.elements import ELEMENTS, PLACES, elements_of
from logbook.statements.standard import STANDARD
from logbook.statements.templates import places_in, statement_render, template_faults

ALL = [(ruleset, outcome) for ruleset, outcomes in ELEMENTS.items() for outcome in outcomes]
# What the clause asks for, and what stands for it in the standard template, by the requirement it is taken from.
ASKED = {
    "R_43_9_a_2": (e.US, e.WORK, "{date}", "date"),
    "R_43_9_a_4_signer": (e.US, e.WORK, "{signer}", "signer"),
    "R_43_9_a_4_number": (e.US, e.WORK, "{certificate_number}", "certificate_number"),
    "R_43_9_a_4_kind": (e.US, e.WORK, "{certificate_kind}", "certificate_kind"),
    "R_43_9_a_5": (e.US, e.WORK, "work described", "only"),
    "R_43_11_a_1": (e.US, e.INSPECTED, "{inspection}", "inspection"),
    "R_43_11_a_4_i": (e.US, e.INSPECTED, "certify", "certifies"),
    "R_43_11_a_4_ii": (e.US, e.INSPECTED, "{item}", "item"),
    "R_43_11_a_4_iv": (e.US, e.INSPECTED, "airworthy", "airworthy"),
    "R_43_11_a_5_list": (e.US, e.REFUSED, "discrepancies", "listed"),
    "R_43_11_a_5_date": (e.US, e.REFUSED, "{list_date}", "list_date"),
    "R_43_11_a_5_given": (e.US, e.REFUSED, "{recipient}", "recipient"),
    "R_43_11_a_6_routine": (e.US, e.PROGRESSIVE, "{routine}", "routine"),
    "R_43_11_a_6_detailed": (e.US, e.PROGRESSIVE_REFUSED, "{detailed}", "detailed"),
    "R_43_11_a_7_programme": (e.US, e.PROGRAMME, "{programme}", "programme"),
    "R_43_11_a_7_part": (e.US, e.PROGRAMME_REFUSED, "{part}", "part"),
    "R_43_11_a_7_procedures": (e.US, e.PROGRAMME, "procedures", "procedures"),
    "R_135_443_i": (e.US_PROGRAMME, e.WORK, "manual", "manual"),
    "R_135_443_ii": (e.US_PROGRAMME, e.WORK, "authorised person", "required_items"),
    "R_135_443_iii": (e.US_PROGRAMME, e.WORK, "no condition is known", "no_condition"),
    "R_43_9_b": (e.US_PROGRAMME, e.WORK, "{signer}", "signer"),
    "R_CRS_1": (e.EASA, e.WORK, "{work}", "work"),
    "R_CRS_2_date": (e.EASA, e.WORK, "{date}", "date"),
    "R_CRS_2_life": (e.EASA, e.WORK, "{hours}", "hours"),
    "R_CRS_3_organisation": (e.EASA, e.WORK, "{organisation}", "organisation"),
    "R_CRS_3_approval": (e.EASA, e.WORK, "{approval}", "approval"),
    "R_CRS_3_licence": (e.EASA, e.WORK, "{certificate_number}", "certificate_number"),
    "R_CRS_4": (e.EASA, e.WORK, "{limitations}", "limitations"),
    "R_CRS_5_except": (e.EASA, e.WORK, "except as otherwise specified", "except"),
    "R_CRS_5_under": (e.EASA, e.WORK, "Part-145", "under"),
    "R_CRS_5_ready": (e.EASA, e.WORK, "ready for release to service", "ready"),
    "R_CRS_5_pilot_owner": (e.EASA, e.PILOT_OWNER, "Limited pilot-owner maintenance", "pilot_owner"),
    "R_CRS_6": (e.EASA, e.WORK, "{data}", "data"),
    "R_145_50_e": (e.EASA, e.WORK, "{incomplete}", "incomplete"),
    "R_801_c": (e.EASA, e.PROVISIONAL, "{pending}", "recheck"),
    "R_571_10_2": (e.CANADA, e.WORK, "applicable airworthiness requirements", "requirements"),
    "R_571_10_2_described": (e.CANADA, e.WORK, "{work}", "work"),
    "R_571_10_2_conditional": (e.CANADA, e.CONDITIONAL, "{pending}", "condition"),
    "R_42_760_named": (e.AUSTRALIA, e.WORK, "Certificate of release to service", "named"),
    "R_42_760_registration": (e.AUSTRALIA, e.WORK, "{registration}", "registration"),
    "R_42_760_approval": (e.AUSTRALIA, e.INSPECTED, "{approval}", "approval"),
    "R_42_760_number": (e.AUSTRALIA, e.WORK, "{certificate_number}", "certificate_number"),
    "R_605_93": (e.CANADA, e.WORK, "{signer}", "signer"),
}


@pytest.mark.parametrize(("ruleset", "outcome"), ALL)
def test_the_standard_template_holds_all_that_is_asked(ruleset: str, outcome: str) -> None:
    assert template_faults(STANDARD[ruleset][outcome], ruleset, outcome) == {}


@pytest.mark.parametrize(("ruleset", "outcome", "words", "key"), ASKED.values(), ids=ASKED)
def test_what_a_clause_asks_for_cannot_be_edited_away(ruleset: str, outcome: str, words: str, key: str) -> None:
    standard = STANDARD[ruleset][outcome]
    assert words in standard
    faults = template_faults(standard.replace(words, ""), ruleset, outcome)
    assert list(faults.keys() - {"opposite"}) == [key]
    assert faults[key].startswith("Missing: ")


@pytest.mark.parametrize(("ruleset", "outcome"), ALL)
def test_no_element_is_held_by_nothing(ruleset: str, outcome: str) -> None:
    wanted = {element.key for element in elements_of(ruleset, outcome)}
    assert set(template_faults("Signed.", ruleset, outcome)) == wanted


def test_R_43_9_a_1_is_held_by_the_work_or_by_its_data() -> None:
    standard = STANDARD[e.US][e.WORK]
    assert template_faults(standard.replace("{work}", "Done."), e.US, e.WORK) == {}
    assert template_faults(standard.replace("{data}", "it"), e.US, e.WORK) == {}
    neither = template_faults(standard.replace("{data}", "it").replace("{work}", "Done."), e.US, e.WORK)
    assert neither == {
        "described": "Missing: what was done, or the data that describe it (14 CFR 43.9(a)(1)). Use {work} or {data}."
    }


def test_R_135_443_iv_is_held_by_either_form_of_words() -> None:
    standard = STANDARD[e.US_PROGRAMME][e.WORK]
    one = standard.replace("the work was controlled", "it was done")
    assert template_faults(one, e.US_PROGRAMME, e.WORK) == {}
    assert list(template_faults(one.replace("safe operation", "order"), e.US_PROGRAMME, e.WORK)) == ["controlled"]


OPPOSITE = [
    (e.US, e.REFUSED, "It is approved for return to service.", "approved for return to service"),
    (e.US, e.REFUSED, "It was found airworthy.", "airworthy"),
    (e.EASA, e.REFUSED, "It is released to service.", "released to service"),
    (e.EASA, e.REFUSED, "It is ready for release.", "ready for release"),
    (e.US, e.INSPECTED, "It was not airworthy.", "not airworthy"),
    (e.US, e.WORK, "It is not approved yet.", "not approved"),
    (e.US, e.INSPECTED, "It is unairworthy.", "unairworthy"),
]


@pytest.mark.parametrize(("ruleset", "outcome", "more", "found"), OPPOSITE)
def test_R_43_11_a_5_words_of_the_other_outcome_are_refused(ruleset: str, outcome: str, more: str, found: str) -> None:
    faults = template_faults(f"{STANDARD[ruleset][outcome]} {more}", ruleset, outcome)
    assert faults == {"opposite": f"“{found}” says the opposite of this outcome; take it out."}


@pytest.mark.parametrize("broken", ["{", "{signer", "}", "{owner}", "{signer!r}", "{date:>9}", "{signer.name}", "{}"])
def test_a_template_that_cannot_be_read_is_refused_whole(broken: str) -> None:
    assert list(template_faults(f"{STANDARD[e.US][e.WORK]} {broken}", e.US, e.WORK)) == ["template"]


def test_a_brace_of_the_text_is_doubled() -> None:
    assert places_in("{{x}} {date}") == ["date"]
    assert statement_render("{{x}} {date}", {"date": "2026-05-04"}) == "{x} 2026-05-04"


def test_a_value_is_never_read_as_a_placeholder() -> None:
    assert statement_render("{work}", {"work": " {signer} {0} "}) == "{signer} {0}"


@pytest.mark.parametrize(("ruleset", "outcome"), ALL)
def test_a_statement_holds_every_value(ruleset: str, outcome: str) -> None:
    values = {name: f"<{name}>" for name in PLACES}
    statement = statement_render(STANDARD[ruleset][outcome], values)
    named = re.findall(r"<(\w+)>", statement)
    assert named == places_in(STANDARD[ruleset][outcome])


@pytest.mark.parametrize("blank", [{}, {"limitations": "  "}])
def test_R_CRS_4_a_blank_is_never_printed(blank: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="The statement has no limitations, or none"):
        statement_render("Limitations: {limitations}.", blank)


@pytest.mark.parametrize(("ruleset", "outcome"), [("mars", e.WORK), (e.US, e.CONDITIONAL)])
def test_rules_and_outcomes_that_there_are_not_are_named(ruleset: str, outcome: str) -> None:
    with pytest.raises(ValueError, match="There is no rule-set 'mars'|has no outcome 'conditional'"):
        elements_of(ruleset, outcome)
