"""Correcting entries of maintenance and opening balances: R-COR-1 to R-COR-6 of records that nobody measured here."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.models import Engine
from engines.queries import engine_times
from logbook.corrections import Correcting
from logbook.maintenance.correcting import work_corrected
from logbook.models import Entry, Person
from tests.logbook.maintenance.kit import certified, opened, signed, signing
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_corrections import boxes_of, sign

WHY = "Copied from the wrong page."


@pytest.fixture
def balance(engine: Engine, mechanic: Person) -> Entry:
    """Return a signed opening balance."""
    return signed(opened(engine, mechanic, "opening"), mechanic)


@pytest.fixture
def done(engine: Engine, mechanic: Person) -> Entry:
    """Return signed maintenance."""
    certified(mechanic, "powerplant")
    return signed(opened(engine, mechanic), mechanic)


def corrected(entry: Entry, by: Person, why: str = WHY, **facts: Any) -> Entry:
    return work_corrected(entry=entry, facts=facts, correcting=Correcting(by, why, signing(by)))


def test_r_cor_6_times_follow_a_corrected_balance(engine: Engine, balance: Entry, mechanic: Person) -> None:
    """R-COR-6: times that changed by correction are re-derived everywhere."""
    before = engine_times(Engine.objects.get(pk=engine.pk))
    newer = corrected(balance, mechanic, starts="901")
    after = engine_times(Engine.objects.get(pk=engine.pk))
    assert (before.starts, after.starts, after.run_time_s) == (900, 901, before.run_time_s)
    assert (newer.corrects, newer.kind, newer.body["times"]["starts"]) == (balance, "opening", 901)
    assert newer.body["correction"]["changes"] == [{"what": "Starts", "was": "900", "is": "901"}]
    third = corrected(newer, mechanic, cycles="881")
    assert (third.body["opening"]["used"]["starts"], third.body["correction"]["of"]) == (901, newer.number)


def test_r_cor_1_maintenance_is_restated_beside_itself(done: Entry, mechanic: Person) -> None:
    """R-COR-1 to R-COR-3; what decides how it ended is not restated."""
    newer = corrected(done, mechanic, description="Replaced the igniter of the left box.", is_major="yes")
    assert newer.corrects == done
    assert newer.body["work"]["description"] == "Replaced the igniter of the left box."
    assert newer.body["work"]["is_major"] == done.body["work"]["is_major"]
    assert newer.body["release"]["outcome"] == done.body["release"]["outcome"]
    assert newer.body["signed"]["meaning"] == newer.body["release"]["statement"]
    assert "left box" in newer.body["release"]["statement"]


@pytest.mark.parametrize(
    ("facts", "why", "code"),
    [
        ({"description": "Other."}, " ", "text_missing"),
        ({}, WHY, "nothing_changed"),
        ({"data_document": "", "data_revision": "", "description": ""}, WHY, "work_refused"),
    ],
)
def test_what_a_correction_can_not_be(
    done: Entry, mechanic: Person, *, facts: dict[str, Any], why: str, code: str
) -> None:
    with pytest.raises(DomainError) as caught:
        corrected(done, mechanic, why, **facts)
    assert (caught.value.code, Entry.objects.count()) == (code, 1)
    assert done.work.facts["description"]


def test_r_cor_2_and_4_who_is_entitled(done: Entry, mechanic: Person, inspector: Person, director: Person) -> None:
    """R-COR-2 and R-COR-4: the signer or the director, by a certificate that covers it; and once."""
    for by, code in ((inspector, "not_yours"), (director, "certificate_does_not_cover")):
        with pytest.raises(DomainError) as caught:
            corrected(done, by, description="Other.")
        assert caught.value.code == code
    corrected(done, mechanic, description="Other.")
    with pytest.raises(DomainError) as caught:
        corrected(done, mechanic, description="Another.")
    assert caught.value.code == "corrected_before"


def test_r_cor_5_a_balance_is_put_right_on_the_screen(client: Client, balance: Entry, mechanic: Person) -> None:
    """R-COR-5: the old text is struck through beside the correction."""
    signed_in(client, mechanic)
    at = reverse("entry_correct", args=[balance.number])
    assert at in client.get(reverse("entry_detail", args=[balance.number])).content.decode()
    sheet = client.get(at)
    page = client.post(at, boxes_of(sheet.content.decode()) | {"starts": "901", "why": WHY})
    assert "Starts 900 901" in words(page)
    assert sign(client, at, page)["Location"] == reverse("entry_detail", args=[balance.number + 1])
    old = client.get(reverse("entry_detail", args=[balance.number])).content.decode()
    assert "<dd><del>900</del></dd>" in old
    assert "stands in the place of this one" in words(client.get(at))
