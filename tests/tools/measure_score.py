"""How long a score takes, by stage, for the project's benchmark."""

from __future__ import annotations

from collections.abc import Callable

from handgroove.output.score.musicxml import format_musicxml
from handgroove.output.score.sheet import make_sheet
from handgroove.part import Part


def measure_score(part: Part, clock: Callable[[], float]) -> dict[str, float]:
    """Return the seconds that each stage of writing *part* takes by *clock* (``time.perf_counter``, say).

    ``musicxml`` is from the part to the MusicXML text; ``svg``, ``pdf`` and ``png`` are what each adds; ``score`` is
    all but the PNG, what a musician waits for.
    """
    from handgroove.output.score.engrave import engrave
    from handgroove.output.score.pages import print_pages

    start = clock()
    sheet = make_sheet(part)
    text = format_musicxml(sheet)
    written = clock()
    svgs = engrave(text, sheet)
    drawn = clock()
    print_pages(svgs, part.title, ["pdf"])
    printed = clock()
    print_pages(svgs, part.title, ["png"])
    painted = clock()
    return {
        "musicxml": written - start,
        "svg": drawn - written,
        "pdf": printed - drawn,
        "png": painted - printed,
        "score": printed - start,
    }
