"""The second keying of a draft, for tests of what comes after it."""

from engines.actions import chart_key
from engines.keying import charts_to_key, figures_of
from engines.models import TypeRevision
from engines.queries import adopted_before
from logbook.models import Person


def draft_keyed(revision: TypeRevision, by: Person) -> TypeRevision:
    """Key every chart that a draft changes just as it was entered."""
    for chart in charts_to_key(adopted_before(revision).data, revision.data):
        figures = {figure.path: figure.value for figure in figures_of(chart)}
        chart_key(revision=revision, chart=chart.name, figures=figures, by=by)
    return revision
