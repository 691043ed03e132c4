"""Keying the figures of a draft a second time, and what of it still stands against adopting the draft."""

from collections.abc import Mapping
from dataclasses import asdict

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from engines.charts import LimitChart
from engines.errors import DomainError
from engines.keying import charts_to_key, differences, figures_of
from engines.models import KeyedChart, TypeRevision
from engines.queries import adopted_before, keyings_of

LONGEST_PLACE = 240


def charts_left(revision: TypeRevision) -> list[str]:
    """Return the changed charts whose newest keying does not agree with the draft, or that nobody has keyed."""
    keyed = keyings_of(revision)
    changed = charts_to_key(adopted_before(revision).data, revision.data)
    return [chart.name for chart in changed if chart.name not in keyed or not keyed[chart.name].agrees]


@transaction.atomic
def chart_key(
    *,
    revision: TypeRevision,
    chart: str,
    figures: Mapping[str, float | None],
    by: AbstractBaseUser,
    has_other_lines: bool = False,
    settled_against: str = "",
) -> KeyedChart:
    """Keep what a second person keyed of one changed chart, with where it differs from the draft.

    Raises DomainError "second_person_needed" for who entered the draft, "already_adopted" for one adopted,
    "chart_unknown" for a chart that is none of the changed ones, "source_missing" for keying again, after a
    difference, without the page of the source where it was looked up.
    """
    revision = TypeRevision.objects.select_for_update().select_related("engine_type").get(pk=revision.pk)
    read = _chart_of(revision, chart, by)
    before = keyings_of(revision).get(chart)
    place = settled_against.strip()[:LONGEST_PLACE]
    if before is not None and not before.agrees and not place:
        raise DomainError(
            "Two keyings of this chart differ. Look the figures up in the source, and say on which page.",
            code="source_missing",
            fields={"settled_against": "Say on which page of the source you looked the figures up."},
        )
    paths = {figure.path for figure in figures_of(read)}
    return KeyedChart.objects.create(
        revision=revision,
        chart=chart,
        figures={path: value for path, value in figures.items() if path in paths},
        has_other_lines=has_other_lines,
        differences=[asdict(difference) for difference in differences(read, figures)],
        settled_against=place,
        keyed_by_id=by.pk,
    )


def _chart_of(revision: TypeRevision, name: str, by: AbstractBaseUser) -> LimitChart:
    if revision.is_adopted:
        raise DomainError(f"{revision} was checked before.", code="already_adopted")
    if revision.entered_by_id == by.pk:
        raise DomainError(
            "Whoever entered limits can't key them a second time; another person has to, from the source.",
            code="second_person_needed",
        )
    changed = {chart.name: chart for chart in charts_to_key(adopted_before(revision).data, revision.data)}
    if name not in changed:
        raise DomainError(f"“{name}” is not a chart that this draft changes.", code="chart_unknown")
    return changed[name]
