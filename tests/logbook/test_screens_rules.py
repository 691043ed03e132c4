"""The rules an operator works to: chosen by the director, with statements that cannot lose what the rules ask for."""

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from logbook.maintenance.rules import rules_choose, rules_needed, rules_of, template_change, template_of
from logbook.models import Person, Rules
from logbook.statements.elements import CANADA, EASA, RULESETS, US, WORK
from logbook.statements.standard import STANDARD
from tests.logbook.screen_kit import words

WORDS = reverse("template_change", args=["work"])
EDITED = STANDARD[US][WORK].replace("Worked to", "Done to")


def test_nobody_chose_yet(client: Client, mechanic: Person) -> None:
    client.force_login(mechanic)
    page = words(client.get("/rules/"))
    assert "Nobody has chosen yet" in page
    assert "Work under these rules" not in page
    with pytest.raises(DomainError) as refused:
        rules_needed(mechanic.operator_id)
    assert refused.value.code == "rules_missing"


@pytest.mark.parametrize("ruleset", RULESETS)
def test_R_43_9_b_the_director_chooses_the_rules(client: Client, director: Person, ruleset: str) -> None:
    client.force_login(director)
    sent = {"ruleset": ruleset, "organisation": "Testholm Repair (invented)", "approval": "TST.145.1"}
    assert client.post("/rules/", sent).status_code == 302
    page = words(client.get("/rules/"))
    assert f"Released under {RULESETS[ruleset]}" in page
    assert all(" ".join(text.split()) in page for text in STANDARD[ruleset].values())


def test_R_CRS_3_european_rules_name_the_organisation(client: Client, director: Person) -> None:
    client.force_login(director)
    answer = client.post("/rules/", {"ruleset": EASA, "approval": " "})
    assert answer.status_code == 422
    assert words(answer).count("These rules want it in every statement.") >= 2
    assert rules_of(director.operator_id) is None


def test_a_template_is_looked_at_before_it_is_kept(client: Client, director: Person) -> None:
    rules_choose(by=director, ruleset=US)
    client.force_login(director)
    page = words(client.post(WORDS, {"template": EDITED, "stage": "look"}))
    assert "Done to [document, revision and section worked to]" in page
    assert Rules.objects.count() == 1
    assert client.post(WORDS, {"template": EDITED, "stage": "keep"}).status_code == 302
    kept = rules_of(director.operator_id)
    assert template_of(kept, WORK) == EDITED
    assert "In words of this operator" in words(client.get("/rules/"))


def test_a_template_that_lost_an_element_is_not_kept(client: Client, director: Person) -> None:
    rules_choose(by=director, ruleset=US)
    client.force_login(director)
    lost = EDITED.replace("{certificate_number}", "")
    answer = client.post(WORDS, {"template": lost, "stage": "keep"})
    assert answer.status_code == 422
    assert "Missing: number of the signer's certificate (14 CFR 43.9(a)(4)). Use {certificate_number}." in words(answer)
    assert Rules.objects.count() == 1
    with pytest.raises(DomainError) as refused:
        template_change(by=director, outcome=WORK, template=lost)
    assert list(refused.value.fields) == ["certificate_number"]
    assert "It can't be read." in words(client.post(WORDS, {"template": "{", "stage": "look"}))


def test_an_empty_template_goes_back_to_the_standard(client: Client, director: Person) -> None:
    rules_choose(by=director, ruleset=US)
    template_change(by=director, outcome=WORK, template=EDITED)
    client.force_login(director)
    client.post(WORDS, {"template": "", "stage": "keep"})
    assert template_of(rules_of(director.operator_id), WORK) == STANDARD[US][WORK]


def test_own_words_stay_with_the_rules_and_go_with_them(director: Person) -> None:
    rules_choose(by=director, ruleset=US)
    template_change(by=director, outcome=WORK, template=EDITED)
    assert template_of(rules_choose(by=director, ruleset=US, organisation="T"), WORK) == EDITED
    assert template_of(rules_choose(by=director, ruleset=CANADA), WORK) == STANDARD[CANADA][WORK]


@pytest.mark.parametrize("name", ["mars", "conditional"])
def test_what_the_rules_do_not_know_is_refused(client: Client, director: Person, name: str) -> None:
    rules_choose(by=director, ruleset=US)
    with pytest.raises(DomainError) as unknown:
        rules_choose(by=director, ruleset="mars")
    with pytest.raises(DomainError) as no_outcome:
        template_change(by=director, outcome=name, template="")
    assert {unknown.value.code, no_outcome.value.code} == {"rules_unknown"}
    client.force_login(director)
    assert client.get(f"/rules/{name}/").status_code == 404


def test_only_the_director_changes_them(client: Client, inspector: Person) -> None:
    client.force_login(inspector)
    assert client.post("/rules/", {"ruleset": US}).status_code == 403
    assert client.get(WORDS).status_code == 403
