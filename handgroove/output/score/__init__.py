"""The score: the part on paper as MusicXML, PDF, SVG and PNG.

The MusicXML needs nothing beyond the base installation; pages need the extra ``score``.
"""

from __future__ import annotations

from collections.abc import Collection

from handgroove.errors import WrongUseError, did_you_mean
from handgroove.output.score.marks import Fingerings
from handgroove.output.score.musicxml import format_musicxml
from handgroove.output.score.sheet import Options, make_sheet
from handgroove.part import Part

FORMATS = ("musicxml", "pdf", "svg", "png")

__all__ = ["FORMATS", "Options", "format_musicxml", "format_score", "make_sheet"]


def format_score(
    part: Part,
    *,
    formats: Collection[str] = FORMATS,
    fingerings: Fingerings = "changes",
    drum_cue: bool = False,
    simile: bool = False,
    ghost_left_out: bool = False,
) -> dict[str, bytes]:
    """Return *part* as a score: ``score.musicxml``, ``score.pdf``, ``score-1.svg``, ``score-1.png`` … by name.

    Args:
        part: what to write.
        formats: which of ``musicxml``, ``pdf``, ``svg`` and ``png``.
        fingerings: ``changes`` where the hand changes, ``all``, or ``none``.
        drum_cue: add the groove in small notes above, with a legend.
        simile: write a bar that says the last one again as a repeat sign.
        ghost_left_out: show strokes of the groove that the part leaves out as small notes.

    Returns:
        What each file holds, by its name.

    Raises:
        HandgrooveError: the extra ``score`` is not installed.
    """
    for name in formats:
        if name not in FORMATS:
            known = f"expected {', '.join(FORMATS)}; got {name!r}"
            raise WrongUseError(f"score format: {known} {did_you_mean(name, FORMATS)}".rstrip())
    options = Options(fingerings, drum_cue, simile, ghost_left_out)
    sheet = make_sheet(part, options)
    musicxml = format_musicxml(sheet)
    files: dict[str, bytes] = {}
    if "musicxml" in formats:
        files["score.musicxml"] = musicxml.encode("utf-8")
    if set(formats) - {"musicxml"}:
        from handgroove.output.score.engrave import engrave
        from handgroove.output.score.pages import print_pages

        svgs = engrave(musicxml, sheet)
        if "svg" in formats:
            files |= {f"score-{n}.svg": svg.encode("utf-8") for n, svg in enumerate(svgs, 1)}
        if {"pdf", "png"} & set(formats):
            printed = print_pages(svgs, part.title, formats)
            if "pdf" in formats:
                files["score.pdf"] = printed["pdf"][0]
            files |= {f"score-{n}.png": data for n, data in enumerate(printed.get("png", []), 1)}
    return files
