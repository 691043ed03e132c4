"""Fonts and styles of print: nothing smaller than 10 points, everything in black."""

from pathlib import Path
from typing import Final

from reportlab.lib.colors import Color, black
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

FOLDER: Final = Path(__file__).parent / "fonts"
REGULAR: Final = "DejaVuSans"
BOLD: Final = "DejaVuSans-Bold"

for _name in (REGULAR, BOLD):
    pdfmetrics.registerFont(TTFont(_name, str(FOLDER / f"{_name}.ttf")))
pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)

INK: Final = black
TINT: Final = Color(0.92, 0.92, 0.92)
SIZE: Final = 10.0
LEADING: Final = 13.0


BY_NAME: Final[dict[str, ParagraphStyle]] = {}


def _style(name: str, **changes: object) -> ParagraphStyle:
    plain: dict[str, object] = {
        "fontName": REGULAR,
        "fontSize": SIZE,
        "leading": LEADING,
        "textColor": INK,
        "bulletFontName": REGULAR,
        "splitLongWords": 1,
        "allowWidows": 0,
        "allowOrphans": 0,
    }
    BY_NAME[name] = ParagraphStyle(name, **{**plain, **changes})
    return BY_NAME[name]


TEXT: Final = _style("text", spaceAfter=3)
CELL: Final = _style("cell")
LABEL: Final = _style("label", fontName=BOLD)
RIGHT_CELL: Final = _style("right", alignment=2)
RIGHT_LABEL: Final = _style("right label", fontName=BOLD, alignment=2)
STRONG: Final = _style("strong", fontName=BOLD, spaceAfter=3)
TITLE: Final = _style("title", fontName=BOLD, fontSize=16, leading=20, spaceAfter=8)
SECTION: Final = _style("section", fontName=BOLD, fontSize=12, leading=15, spaceBefore=10, spaceAfter=4)
PART: Final = _style("part", fontName=BOLD, fontSize=10.5, leading=14, spaceBefore=6, spaceAfter=3)
CENTRED: Final = _style("centred", fontName=BOLD, alignment=1)
