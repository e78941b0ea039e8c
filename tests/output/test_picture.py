"""The picture of ten finger lanes."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

from handgroove.harmony.chart import lay_chart, parse_chart
from handgroove.harmony.symbols.names import parse_key
from handgroove.output.picture import COLOURS, format_picture
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.output.parts import golden_part

SVG = "{http://www.w3.org/2000/svg}"


def shapes(part: object, colour: str) -> list[ET.Element]:
    """Return the picture's note bars of one colour (the legend's swatch is not one)."""
    root = ET.fromstring(format_picture(part))  # type: ignore[arg-type]
    return [r for r in root.iter(f"{SVG}rect") if r.get("fill") == colour and r.get("width") != "10"]


def test_it_is_well_formed_and_shows_every_note_and_hit() -> None:
    """Each note is a bar in its role's colour and each hit a dark tick."""
    part = golden_part()
    for role in {note.role for note in part.notes}:
        assert len(shapes(part, COLOURS[role])) == sum(note.role is role for note in part.notes)
    assert len(shapes(part, "#333")) == len(part.groove.hits)


def test_fingers_are_lanes_from_left_little_to_right_little() -> None:
    """From the bottom: left 5 to 1, then right 1 to 5, each in a lane of its own."""
    fingers = [(Hand.LEFT, f) for f in (5, 4, 3, 2, 1)] + [(Hand.RIGHT, f) for f in (1, 2, 3, 4, 5)]
    notes = tuple(Note(0, 960, 60, 100, hand, Role.MELODY, finger) for hand, finger in fingers)
    tops = [float(s.get("y", "0")) for s in shapes(replace(golden_part(), notes=notes), COLOURS[Role.MELODY])]
    assert tops == sorted(set(tops), reverse=True)


def test_louder_is_taller() -> None:
    """A louder note's bar is taller."""
    notes = tuple(Note(960 * n, 480, 60, v, Hand.RIGHT, Role.MELODY, 3) for n, v in enumerate((30, 70, 110)))
    heights = [
        float(s.get("height", "0")) for s in shapes(replace(golden_part(), notes=notes), COLOURS[Role.MELODY])
    ]
    assert heights == sorted(set(heights))


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#rrggbb`` (W3C, Web Content Accessibility Guidelines 2.2)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_colours_differ_for_colour_blind_readers() -> None:
    """The colours are those of Okabe and Ito's set; kick and snare, side by side, differ in lightness too."""
    okabe_ito = {"#E69F00", "#56B4E9", "#009E73", "#F0E442", "#0072B2", "#D55E00", "#CC79A7", "#000000"}
    assert set(COLOURS.values()) <= okabe_ito
    kick, snare = luminance(COLOURS[Role.KICK]), luminance(COLOURS[Role.SNARE])
    assert (max(kick, snare) + 0.05) / (min(kick, snare) + 0.05) > 2


def test_titles_are_escaped() -> None:
    """A title with an ampersand leaves the file well formed."""
    root = ET.fromstring(format_picture(replace(golden_part(), title="Salt & <Pepper>")))
    assert "Salt & <Pepper>" in "".join(root.itertext())


def test_labels_are_spelled_by_the_chord() -> None:
    """The third of E7 reads G♯, not A♭."""
    part = golden_part()
    harmony = lay_chart(parse_chart("| E7 |"), part.timeline, parse_key("A minor"))
    drawn = format_picture(replace(part, harmony=harmony, notes=(replace(part.notes[0], pitch=68),)))
    assert ">G♯4<" in drawn
    assert "A♭" not in drawn
