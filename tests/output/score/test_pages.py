"""The pages: text, fonts, count, ids and sizes of SVG, PDF and PNG."""

from __future__ import annotations

import re
import struct
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from handgroove.output.files import write_files
from handgroove.output.score import format_score
from tests.output.score.parts import straight_eighths, swing, with_groove

MANY_BARS = 40


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a score of several pages."""
    folder = tmp_path_factory.mktemp("score")
    write_files(folder, format_score(straight_eighths(MANY_BARS)))
    return folder


def fonts_of(page: Any) -> dict[str, bool]:
    """Return the fonts that a PDF page uses, in its pictures too, and whether each is embedded."""
    found: dict[str, bool] = {}

    def look(resources: Any) -> None:
        resources = resources.get_object()
        for reference in (resources.get("/Font") or {}).values():
            font = reference.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            descriptor = inner.get("/FontDescriptor")
            keys = descriptor.get_object().keys() if descriptor else ()
            found[font["/BaseFont"]] = any(key.startswith("/FontFile") for key in keys)
        for picture in (resources.get("/XObject") or {}).values():
            if "/Resources" in picture.get_object():
                look(picture.get_object()["/Resources"])

    look(page["/Resources"])
    return found


def test_pdf_has_a_page_for_each_svg_and_png(pages: Path) -> None:
    """SVG, PNG and PDF have the same pages, more than one here."""
    count = len(PdfReader(pages / "score.pdf").pages)
    assert count > 1
    assert count == len(list(pages.glob("score-*.svg"))) == len(list(pages.glob("score-*.png")))


def test_pdf_text_is_text(pages: Path) -> None:
    """Title, feel, tempo, sections and chords can be read out of the PDF, and its title is set."""
    reader = PdfReader(pages / "score.pdf")
    text = reader.pages[0].extract_text()
    for word in ("Straight Eighths", "Straight", "112", "A", "B", "Am7", "Fmaj7"):
        assert word in text
    assert reader.metadata is not None
    assert reader.metadata.title == "Straight Eighths"


def test_pdf_fonts_are_embedded(pages: Path) -> None:
    """Every font that the PDF sets words in travels with it; notes are outlines."""
    for page in PdfReader(pages / "score.pdf").pages:
        fonts = fonts_of(page)
        assert any("LibertinusSerif" in name for name in fonts)
        assert all(fonts.values())


def test_pdf_is_a4(pages: Path) -> None:
    """Pages are A4."""
    box = PdfReader(pages / "score.pdf").pages[0].mediabox
    assert (round(float(box.width)), round(float(box.height))) == (595, 842)


def test_svg_notes_keep_their_ids(pages: Path) -> None:
    """Every note of the part can be found in the SVG pages by its index, so that a page can highlight it."""
    text = "".join(path.read_text(encoding="utf-8") for path in pages.glob("score-*.svg"))
    found = set(re.findall(r'<g id="n(\d+)" class="note">', text))
    assert found == {str(index) for index in range(len(straight_eighths(MANY_BARS).notes))}


def test_every_bar_number_at_a_system_is_printed(pages: Path) -> None:
    """Each system begins with its bar's number, beside a section's name too."""
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(pages.glob("score-*.svg")))
    numbers = re.findall(r'class="mNum[^>]*>(?:.*?)>(\d+)<', text, flags=re.DOTALL)
    assert [int(number) for number in numbers] == list(range(5, MANY_BARS, 4))


def test_png_is_large_enough_to_print(pages: Path) -> None:
    """A PNG page has 144 dots to the inch."""
    width, height = struct.unpack(">II", (pages / "score-1.png").read_bytes()[16:24])
    assert (width, height) == (1191, 1684)


def test_drum_line_has_its_legend_on_the_page(tmp_path: Path) -> None:
    """With the drum line the first page says what plays which drum."""
    write_files(tmp_path, format_score(with_groove(), formats=["pdf"], drum_cue=True))
    text = PdfReader(tmp_path / "score.pdf").pages[0].extract_text()
    assert "kick = left hand 5" in re.sub(r"\s+", " ", text)


def test_repeat_signs_are_drawn_on_request(tmp_path: Path) -> None:
    """With simile the page has a repeat sign in both staves for each bar that says the last one again."""
    write_files(tmp_path, format_score(swing(scatter_ticks=0), formats=["svg"], simile=True))
    assert (tmp_path / "score-1.svg").read_text(encoding="utf-8").count('class="mRpt"') == 2 * 4
