import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import SimpleDocTemplate

from inspections.drawing.curve_picture import curve_picture
from inspections.drawing.shapes import Fill, Hatch, Picture, Polygon, Polyline, Rect
from logbook.printing.picture import PictureFlowable, hatch_lines
from tests.inspections.drawing.cases import ITT, RUNNING, excursion, flight_picture

PAGE = (595.0, 842.0)


def printed(*pictures: Picture, width: float = 480) -> PdfReader:
    file = io.BytesIO()
    document = SimpleDocTemplate(file, pagesize=PAGE, leftMargin=50, rightMargin=50, topMargin=40, bottomMargin=40)
    document.build([PictureFlowable(picture, width) for picture in pictures])
    return PdfReader(file)


def operations(picture: Picture, folder: Path) -> str:
    """Return what the page is told to draw, before it is packed."""
    canvas = Canvas(str(folder / "page.pdf"), pageCompression=0)
    PictureFlowable(picture, picture.width).drawOn(canvas, 0, 0)
    return "\n".join(canvas._code)


def test_every_text_of_a_picture_can_be_taken_from_the_page() -> None:
    run = flight_picture([excursion()], width=480, height=260)
    curve = curve_picture([(700.0, 70.7), (718.0, 0.0)], RUNNING, excursion(), ITT, size=(480.0, 240.0))
    text = printed(run, curve).pages[0].extract_text()
    for words in {*run.texts, *curve.texts}:
        assert words in text


def test_a_picture_keeps_its_shape_at_any_width() -> None:
    flowable = PictureFlowable(flight_picture([excursion()], width=480, height=240), 240)
    assert flowable.wrap(500, 700) == (240, 120)


def test_a_picture_flows_with_the_page_it_stands_on() -> None:
    assert len(printed(*[flight_picture([excursion()], width=480, height=400)] * 3).pages) == 3


@pytest.mark.parametrize(("angle", "count"), [(0.0, 3), (90.0, 6), (45.0, 5)])
def test_hatch_lines_cover_a_box(angle: float, count: int) -> None:
    lines = list(hatch_lines((0, 0, 10, 5), angle, 2.0))
    assert len(lines) == count
    assert all(start != end for start, end in lines)


def test_hatches_of_neighbours_lie_on_one_grid() -> None:
    left = {round(start[0], 6) for start, _ in hatch_lines((0, 0, 10, 5), 90.0, 3.0)}
    right = {round(start[0], 6) for start, _ in hatch_lines((10, 0, 20, 5), 90.0, 3.0)}
    assert left == {0, 3, 6, 9}
    assert right == {12, 15, 18}


def test_surfaces_are_hatched_in_lines_and_need_no_transparency(tmp_path: Path) -> None:
    """Paper R7: black and white is complete."""
    hatch = Hatch("cross", (45.0, -45.0), 6.0, Fill("sky", 0.25))
    square = ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0))
    drawn = operations(Picture(50, 50, (Polygon(square, hatch=hatch),), "t", "d"), tmp_path)
    assert drawn.count(" l S") == 9
    assert "W* n" in drawn
    assert " gs" not in drawn
    assert ".834314 .926471 .978431 rg" in drawn


def test_a_surface_without_looks_draws_nothing_and_a_lone_point_a_dot(tmp_path: Path) -> None:
    bare = Picture(50, 50, (Rect(0, 0, 5, 5, hatch=Hatch("plain", (90.0,), 3.0)), Rect(0, 0, 5, 5)), "t", "d")
    assert " rg" not in operations(bare, tmp_path)
    dot = operations(Picture(50, 50, (Polyline(((5.0, 6.0),)),), "t", "d"), tmp_path)
    assert "n 5 44 m 5 44 l" in dot
