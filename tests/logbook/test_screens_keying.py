"""A draft's changed charts are keyed a second time, blind, and every difference is settled by the source."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import revision_enter
from engines.keying import figures_of
from engines.models import Engine, TypeRevision
from logbook.models import Concern, Person
from tests.documents import type_document
from tests.logbook.screen_kit import signed_in, words


@pytest.fixture
def draft(engine: Engine, inspector: Person) -> TypeRevision:
    """Return a draft of the inspector's that tightens the running limit to 693 °C."""
    document = type_document(name=engine.engine_type.name)
    document["charts"][1]["limit"] = 693
    return revision_enter(
        engine_type=engine.engine_type,
        document=document,
        source="Invented bulletin 4",
        in_force_from=timezone.localdate() + timedelta(days=21),
        by=inspector,
    )


def sheet(draft: TypeRevision, **changes: Any) -> dict[str, Any]:
    """Return a sheet keyed just as the draft was entered, but for some boxes."""
    figures = enumerate(figures_of(draft.data.charts[1]), start=1)
    return {f"figure{place}": f"{figure.value:g}" for place, figure in figures} | changes


def key(client: Client, draft: TypeRevision, **changes: Any) -> Any:
    """Send the keying of the one changed chart."""
    return client.post(reverse("limits_key", args=[draft.pk, 1]), sheet(draft, **changes), follow=True)


def detail(client: Client, draft: TypeRevision) -> str:
    """Return the words of the draft's page."""
    return words(client.get(reverse("limits_detail", args=[draft.pk])))


def test_whoever_may_key_sees_no_figure_before_keying_it(
    client: Client, draft: TypeRevision, director: Person, mechanic: Person
) -> None:
    signed_in(client, director)
    for page in (detail(client, draft), words(client.get(reverse("limits_key", args=[draft.pk, 1])))):
        assert "693" not in page
    assert "Its figures are shown when you have keyed them from the source yourself." in detail(client, draft)
    markup = client.get(reverse("limits_key", args=[draft.pk, 1])).content.decode()
    assert "693" not in markup
    assert markup.count('inputmode="decimal"') == 10
    assert "693 °C, not above" in detail(signed_in(client, mechanic), draft)


def test_a_keying_that_agrees_opens_the_way_to_adoption(client: Client, draft: TypeRevision, director: Person) -> None:
    signed_in(client, director)
    page = words(key(client, draft))
    assert "ITT, running is keyed. It agrees with the draft." in page
    assert f"Agrees. Keyed by {director}" in page
    assert "693 °C, not above" in page
    adopted = words(client.post(reverse("limits_adopt", args=[draft.pk]), follow=True))
    assert "Until then, in 21 days, the revision before it judges." in adopted
    assert "Adopted, waits for its day" in adopted
    assert "in 21 days. Until then revision 1 judges." in adopted
    assert not Concern.objects.exists()
    assert client.get(reverse("limits_key", args=[draft.pk, 1])).status_code == 404


def test_a_keying_that_differs_is_shown_and_has_to_be_settled(
    client: Client, draft: TypeRevision, director: Person
) -> None:
    signed_in(client, director)
    page = words(key(client, draft, figure1="639"))
    assert "It differs from the draft; look both up in the source." in page
    assert "Limit: entered 693 °C, keyed 639 °C" in page
    assert client.post(reverse("limits_adopt", args=[draft.pk])).status_code == 422
    concern = Concern.objects.get()
    assert (concern.kind, concern.about, concern.revision) == ("keying", "ITT, running", draft)
    assert concern.text == "Limit: entered 693 °C, keyed 639 °C"


def test_keying_again_names_the_page_that_was_looked_up(client: Client, draft: TypeRevision, director: Person) -> None:
    signed_in(client, director)
    key(client, draft, figure1="639")
    refused = key(client, draft)
    assert refused.status_code == 422
    assert "Say on which page of the source you looked the figures up." in words(refused)
    page = words(key(client, draft, settled_against="Bulletin 4, page 2"))
    assert "looked up again in Bulletin 4, page 2." in page
    assert [row.agrees for row in draft.keyed_charts.all()] == [False, True]
    assert client.post(reverse("limits_adopt", args=[draft.pk])).status_code == 302


def test_a_source_with_other_lines_differs_whatever_was_keyed(
    client: Client, draft: TypeRevision, director: Person
) -> None:
    signed_in(client, director)
    refused = key(client, draft, figure3="")
    assert refused.status_code == 422
    assert "Key what the source has here, or say below that it has other lines." in words(refused)
    page = words(key(client, draft, figure3="", has_other_lines="on"))
    assert "Area A, line 1: seconds allowed: entered 60 s, keyed nothing" in page
    assert "the source has more or fewer lines than the draft" in page


def test_whoever_entered_it_does_not_key_it(
    client: Client, draft: TypeRevision, inspector: Person, mechanic: Person, stranger: Person
) -> None:
    address = reverse("limits_key", args=[draft.pk, 1])
    signed_in(client, inspector)
    assert "You entered this draft. Another person has to key it" in words(client.get(address))
    refused = client.post(address, sheet(draft))
    assert (refused.status_code, draft.keyed_charts.count()) == (422, 0)
    assert signed_in(client, mechanic).get(address).status_code == 403
    assert signed_in(client, stranger).get(address).status_code == 404


@pytest.mark.parametrize("place", [0, 2])
def test_a_chart_that_is_not_changed_is_not_keyed(
    place: int, client: Client, draft: TypeRevision, director: Person
) -> None:
    assert signed_in(client, director).get(reverse("limits_key", args=[draft.pk, place])).status_code == 404


def test_a_draft_left_behind_by_a_later_revision_says_so(client: Client, draft: TypeRevision, director: Person) -> None:
    TypeRevision.objects.filter(pk=draft.pk).update(number=3)
    first = TypeRevision.objects.get(number=1)
    left = TypeRevision.objects.create(
        engine_type=first.engine_type, number=2, document=first.document, entered_by=director
    )
    TypeRevision.objects.filter(pk=draft.pk).update(is_adopted=True, in_force_from=None)
    assert "Revision 2 : draft, left aside" in words(signed_in(client, director).get(reverse("limits_list")))
    assert "No limit chart differs from the revision before it" in detail(client, left)


def test_the_list_of_limits_costs_few_queries(
    client: Client, draft: TypeRevision, director: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, director)
    with django_assert_max_num_queries(10):
        client.get(reverse("limits_list"))
    with django_assert_max_num_queries(10):
        client.get(reverse("limits_detail", args=[draft.pk]))
