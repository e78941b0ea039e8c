"""Chord symbols read: from any spelling that working musicians use to one Chord with one consistent symbol.

Taken as the same: ``Cmaj7 CM7 CΔ Cma7 C^7``; ``Cm7 C-7 Cmin7 Cmi7``; ``Cm7b5 Cø C-7-5 Chdim7``; ``Cdim7 C°7 Co7``;
``Caug C+``; ``C7#5 C+7 C7+``; ``C6/9 C69``; ``C7sus4 C7sus Csus7``; ``C7alt Calt``; flats and sharps in print (♭ ♯)
or as letters. After a slash a note name is the bass (``C/E``); a whole chord after one slash or two is a polychord
(``D/C7``, ``D//C``: a D chord above a C chord).

Where spellings differ in meaning, common practice decides (no source): a bare ``dim`` is a triad, a bare ``Δ`` a
major seventh, ``2`` an added ninth, ``4`` a suspended fourth; a thirteenth implies the ninth but not the eleventh,
which rubs against a major third; ``alt`` is a raised fifth (b13) with b9, #9 and #11.
"""

from __future__ import annotations

from functools import lru_cache

from handgroove.errors import HandgrooveError
from handgroove.harmony.symbols.chord_faults import ChordFault, fault_problem, near_symbols
from handgroove.harmony.symbols.chord_format import format_quality
from handgroove.harmony.symbols.chord_model import Chord, Name
from handgroove.harmony.symbols.names import match_name, plain_accidentals
from handgroove.harmony.symbols.quality import read_quality
from handgroove.harmony.symbols.scales import fit_scale

_LONGEST_SYMBOL = 64


def _split_bass(text: str, start: int) -> tuple[str, str, int]:
    """Return the symbol above a slash, what stands below it, and where that begins (0 = there is none)."""
    double = text.find("//", start)
    if double >= 0:
        return text[:double], text[double:], double + 2
    slash = text.rfind("/", start)
    if slash >= 0 and text[slash + 1 : slash + 2] in tuple("ABCDEFG"):
        return text[:slash], text[slash:], slash + 1
    return text, "", 0


@lru_cache(maxsize=4096)
def read_symbol(text: str) -> Chord | ChordFault:
    """Return the chord that *text* spells, or the fault that keeps it from being read."""
    if len(text) > _LONGEST_SYMBOL:
        return ChordFault(0, f"a chord symbol of at most {_LONGEST_SYMBOL} characters")
    plain = plain_accidentals(text)
    found = match_name(plain)
    if found is None:
        return _root_fault(plain)
    root, start = found
    upper, below, below_start = _split_bass(plain, start)
    quality = read_quality(upper, start)
    if isinstance(quality, int):
        near = near_symbols(upper[start:], str(root))
        return ChordFault(quality, "a chord quality such as m, maj7, 7, sus4, dim or b9", near)
    chord = make_chord(root, *quality)
    return _read_below(chord, plain, below_start, whole=below.startswith("//")) if below else chord


def _read_below(chord: Chord, text: str, start: int, *, whole: bool) -> Chord | ChordFault:
    """Return *chord* over what stands in *text* from *start* on: a bass note, or a *whole* chord."""
    bass = match_name(text, start)
    if not whole and bass and bass[1] == len(text):
        return over_bass(chord, bass[0])
    lower = read_symbol(text[start:])
    if isinstance(lower, ChordFault):
        return ChordFault(
            start + lower.start, lower.expected, tuple(text[:start] + near for near in lower.near)
        )
    return polychord(chord, lower)


def make_chord(root: Name, tones: tuple[int, ...], tensions: tuple[int, ...] = ()) -> Chord:
    """Return the chord of *tones* and *tensions* (semitones) above *root*, with our symbol for it."""
    symbol = f"{root}{format_quality(tones, tensions)}"
    return Chord(symbol, root, root, tones, tensions, fit_scale(tones, tensions))


def over_bass(chord: Chord, bass: Name) -> Chord:
    """Return *chord* with *bass* as its lowest note."""
    symbol = chord.symbol if bass == chord.root else f"{chord.symbol}/{bass}"
    return Chord(symbol, chord.root, bass, chord.tones, chord.tensions, chord.scale)


def polychord(upper: Chord, lower: Chord) -> Chord:
    """Return the polychord of *upper* above *lower*: the lower chord's root and tones, the upper one's as tensions."""
    above = {(pc - lower.root.pc) % 12 for pc in upper.pcs}
    tensions = tuple(sorted((above | set(lower.tensions)) - set(lower.tones)))
    scale = fit_scale(lower.tones, tensions)
    return Chord(f"{upper.symbol}//{lower.symbol}", lower.root, lower.bass, lower.tones, tensions, scale)


def _root_fault(text: str) -> ChordFault:
    """Return the fault of a symbol that doesn't begin with a root; a small letter or a German H may be meant as one."""
    meant = "B" + text[1:] if text[:1] in ("H", "h") else text[:1].upper() + text[1:]
    near = (meant,) if meant != text and isinstance(read_symbol(meant), Chord) else ()
    return ChordFault(0, "a chord's root, A to G in capitals, with # or b", near)


def parse_chord(text: str, place: str = "chord") -> Chord:
    """Return the chord that the symbol *text* spells; *place* is where it stands, for messages."""
    trimmed = text.strip()
    found = read_symbol(trimmed)
    if isinstance(found, ChordFault):
        raise HandgrooveError(fault_problem(trimmed, found, place, trimmed, 1))
    return found
