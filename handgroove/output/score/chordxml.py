"""Chord symbols as MusicXML harmony elements.

Source of the kinds: W3C Music Notation Community Group, *MusicXML 4.0* (2021), ``kind-value``. What no kind says is
added as degrees that are not printed; the printed text is the chart's own.
"""

from __future__ import annotations

from xml.sax.saxutils import quoteattr

from handgroove.harmony.chord import Chord, Name

_KINDS: dict[frozenset[int], str] = {
    frozenset(tones): kind
    for tones, kind in (
        ((0, 4, 7), "major"),
        ((0, 3, 7), "minor"),
        ((0, 4, 8), "augmented"),
        ((0, 3, 6), "diminished"),
        ((0, 4, 7, 10), "dominant"),
        ((0, 4, 7, 11), "major-seventh"),
        ((0, 3, 7, 10), "minor-seventh"),
        ((0, 3, 6, 9), "diminished-seventh"),
        ((0, 4, 8, 10), "augmented-seventh"),
        ((0, 3, 6, 10), "half-diminished"),
        ((0, 3, 7, 11), "major-minor"),
        ((0, 4, 7, 9), "major-sixth"),
        ((0, 3, 7, 9), "minor-sixth"),
        ((0, 2, 7), "suspended-second"),
        ((0, 5, 7), "suspended-fourth"),
        ((0, 7), "power"),
    )
}
_NEAR: tuple[tuple[frozenset[int], str, tuple[tuple[str, int, int], ...]], ...] = (
    (frozenset({0, 5, 7, 10}), "suspended-fourth", (("add", 7, 0),)),
    (frozenset({0, 2, 7, 10}), "suspended-second", (("add", 7, 0),)),
    (frozenset({0, 4, 6, 10}), "dominant", (("alter", 5, -1),)),
    (frozenset({0, 4, 6}), "major", (("alter", 5, -1),)),
    (frozenset({0, 4, 8, 11}), "major-seventh", (("alter", 5, 1),)),
    (frozenset({0, 4, 6, 11}), "major-seventh", (("alter", 5, -1),)),
    (frozenset({0, 3, 8, 10}), "minor-seventh", (("alter", 5, 1),)),
    (frozenset({0, 3, 8}), "minor", (("alter", 5, 1),)),
)
_DEGREES = {
    1: (9, -1),
    2: (9, 0),
    3: (9, 1),
    4: (11, -1),
    5: (11, 0),
    6: (11, 1),
    8: (13, -1),
    9: (13, 0),
    10: (7, 0),
}


def find_kind(chord: Chord) -> tuple[str, tuple[tuple[str, int, int], ...]]:
    """Return the kind of *chord* and its degrees as (``add`` or ``alter``, degree, semitones)."""
    tones = frozenset(tone % 12 for tone in chord.tones)
    added = tuple(("add", *_DEGREES[t % 12]) for t in chord.tensions if t % 12 in _DEGREES)
    if tones in _KINDS:
        return _KINDS[tones], added
    for shape, kind, degrees in _NEAR:
        if tones == shape:
            return kind, degrees + added
    return "other", added


def format_harmony(chord: Chord | None, staff: int) -> tuple[str, str]:
    """Return the ``<harmony>`` element of *chord* (None = N.C.) in two: before and after the place of its offset."""
    end = f"<staff>{staff}</staff></harmony>"
    if chord is None:
        return '<harmony><root><root-step text="">C</root-step></root><kind text="N.C.">none</kind>', end
    kind, degrees = find_kind(chord)
    parts = [_named("root", chord.root), f"<kind text={quoteattr(_quality(chord))}>{kind}</kind>"]
    if chord.bass.pc != chord.root.pc:
        parts.append(_named("bass", chord.bass))
    for what, degree, semitones in degrees:
        inside = f"<degree-value>{degree}</degree-value><degree-alter>{semitones}</degree-alter>"
        parts.append(f'<degree print-object="no">{inside}<degree-type>{what}</degree-type></degree>')
    return f"<harmony>{''.join(parts)}", end


def _named(what: str, name: Name) -> str:
    alter = f"<{what}-alter>{name.alter}</{what}-alter>" if name.alter else ""
    return f"<{what}><{what}-step>{name.letter}</{what}-step>{alter}</{what}>"


def format_symbol(chord: Chord | None) -> str:
    """Return a chord's symbol as it is printed."""
    return chord.symbol.replace("#", "♯").replace("b", "♭") if chord else "N.C."


def _quality(chord: Chord) -> str:
    """Return what follows the root in the chord's symbol, without its bass, flats and sharps as signs."""
    text = chord.symbol.removeprefix(str(chord.root))
    if chord.bass.pc != chord.root.pc:
        text = text.removesuffix(f"/{chord.bass}")
    return text.replace("#", "♯").replace("b", "♭")
