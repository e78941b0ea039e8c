"""PDF and PNG from the SVG pages, set by typst (Apache-2), which keeps text as text and embeds its fonts.

Notes and signs are outlines already; words are set in Libertinus Serif, which typst carries, so that no font of the
machine's matters and the bytes are always the same.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Collection, Sequence
from pathlib import Path

from handgroove.output.score.extra import need

TEXT_FONT = "Libertinus Serif"
CHORD_FONT = "New Computer Modern Math"  # the one bold face that typst carries with flats and sharps in it
PNG_PPI = 144.0


def plain_svg(svg: str) -> str:
    """Return a page for typst, with its words in typst's own font."""
    svg = re.sub(r'class="harm"', f'class="harm" font-family="{CHORD_FONT}"', svg)
    return svg.replace('font-family="Times, serif"', f'font-family="{TEXT_FONT}"')


def print_pages(svgs: Sequence[str], title: str, formats: Collection[str]) -> dict[str, list[bytes]]:
    """Return the pages as ``pdf`` (one file) and ``png`` (one a page), whichever of *formats* are asked for."""
    typst = need("typst")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lines = [
            f"#set document(title: {json.dumps(title, ensure_ascii=False)}, date: none)",
            "#set page(width: 210mm, height: 297mm, margin: 0mm)",
        ]
        for number, svg in enumerate(svgs, 1):
            (folder / f"{number}.svg").write_text(plain_svg(svg), encoding="utf-8")
            lines.append(f'#image("{number}.svg", width: 210mm)')
        (folder / "score.typ").write_text("\n".join(lines), encoding="utf-8")
        compiler = typst.Compiler(str(folder / "score.typ"), root=name, ignore_system_fonts=True)
        result: dict[str, list[bytes]] = {}
        if "pdf" in formats:
            result["pdf"] = [compiler.compile(format="pdf", timestamp=0)]
        if "png" in formats:
            pages = compiler.compile(format="png", ppi=PNG_PPI)
            result["png"] = pages if isinstance(pages, list) else [pages]
    return result
