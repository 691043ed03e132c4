"""What is peculiar to entries of maintenance, inspections, hour meters and opening balances, on paper."""

from collections.abc import Mapping
from typing import Any

from logbook.maintenance.sections import Section, sections_of
from logbook.printing.blocks import Story, grid, pairs, titled

Body = Mapping[str, Any]


def maintenance_section(body: Body) -> Story:
    """Return what is peculiar to an entry's kind, each part under its heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Headings with tables whose rows stay whole and whose headings repeat; nothing for an entry of a run.
    """
    return [flowable for section in sections_of(body) for flowable in titled(section.title, _content(section))]


def _content(section: Section) -> Story:
    rows: Story = [pairs(list(section.rows))] if section.rows else []
    table: Story = [grid(section.headings, section.lines, section.shares)] if section.lines else []
    return [*rows, *table]
