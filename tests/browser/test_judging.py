"""The worker that judges traces, under the site's own policy."""

from collections.abc import Callable

from playwright.sync_api import Page

from tests.judging.long_trace import APART, long_run
from tests.judging.page import told


def test_a_worker_judges_on_the_sites_own_pages(visit: Callable[[str], Page]) -> None:
    page = visit("/sign-in/")
    judged = told(page, APART.replace('"/judge/', '"/static/logbook/js/judge/'), long_run(rows=1200, rate=1))
    assert judged["verdict"]["samples"] == 1200
    assert judged["verdict"]["excursions"]
