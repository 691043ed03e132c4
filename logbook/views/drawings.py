"""The pictures of an entry on the screen: drawn by the module that draws them for its print."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from logbook.models import Entry
from logbook.pictures import PRINTED_CURVE, entry_run
from logbook.views.runs import NARROW, WIDE, drawn


@dataclass(frozen=True)
class Drawing:
    """The pictures of one chart: of the run for a phone and for a desk, and the duration curves."""

    name: str
    narrow: SafeString
    wide: SafeString
    curves: list[SafeString]
    caption: str


def entry_drawings(entry: Entry) -> list[Drawing]:
    """Return the pictures of an entry, chart by chart; nothing where no recorded trace is at hand."""
    run = entry_run(entry)
    if run is None:
        return []
    return [
        Drawing(
            name=chart.name,
            narrow=drawn(run.picture(chart, *NARROW), f"entry{n}n"),
            wide=drawn(run.picture(chart, *WIDE), f"entry{n}w"),
            curves=[drawn(curve, f"entry{n}c{k}") for k, curve in enumerate(run.curves(chart, PRINTED_CURVE))],
            caption=run.caption(chart),
        )
        for n, chart in enumerate(run.charts)
        if run.traced(chart) is not None
    ]
