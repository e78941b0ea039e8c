"""The head of a chart: ``title:``, ``key:``, ``metre:``, ``tempo:`` and ``feel:`` lines, read and written."""

from __future__ import annotations

import re
from dataclasses import dataclass

from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Feel
from handgroove.harmony.symbols.chord_model import Key
from handgroove.harmony.symbols.names import parse_key
from handgroove.timeline import Metre

HEAD_WORDS = ("title", "key", "metre", "tempo", "feel", "pickup")
LOWEST_TEMPO_BPM, HIGHEST_TEMPO_BPM = 20, 400
_METRE = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})")
_FEEL = re.compile(
    r"(straight|swing|swung|shuffle)\s*(eighths?|8ths?|sixteenths?|16ths?)?\s*(\d+(?:\.\d+)?)?(?::1)?", re.I
)
_TRIPLET_SWING = 2.0


@dataclass(slots=True)
class ChartHead:
    """What the head lines have said so far."""

    title: str = ""
    key: Key | None = None
    metre: Metre | None = None
    tempo_bpm: float | None = None
    feel: Feel | None = None


def read_metre(text: str) -> Metre | None:
    """Return the metre that *text* spells (``6/8``), or None."""
    match = _METRE.fullmatch(text)
    if match is None:
        return None
    beats, unit = int(match[1]), int(match[2])
    return Metre(beats, unit) if 1 <= beats <= 32 and unit in (2, 4, 8, 16) else None


def read_feel(text: str) -> Feel | None:
    """Return the feel that *text* names (``swing``, ``shuffle``, ``swing sixteenths 1.6``), or None."""
    match = _FEEL.fullmatch(text.strip())
    if match is None:
        return None
    unit_ticks = 240 if (match[2] or "").lower().startswith(("six", "16")) else 480
    if match[1].lower() == "straight":
        return None if match[3] else Feel(1.0, 480)
    ratio = float(match[3]) if match[3] else _TRIPLET_SWING
    return Feel(ratio, unit_ticks) if 1.0 <= ratio <= 4.0 else None


def format_feel(feel: Feel) -> str:
    """Return *feel* as a head line says it."""
    if feel.swing_ratio == 1.0:
        return "straight"
    unit = " sixteenths" if feel.swing_unit_ticks == 240 else ""
    return f"swing{unit} {feel.swing_ratio:g}"


def read_head(head: ChartHead, word: str, value: str) -> str:
    """Set what the head line *word* says to *value*; return what is wrong with it, or an empty string."""
    if word == "title":
        head.title = value
    elif word == "key":
        try:
            head.key = parse_key(value)
        except HandgrooveError:
            return f"expected a key such as 'C', 'Bb major', 'A minor' or 'F#m', got {value[:40]!r}"
    elif word == "metre":
        head.metre = read_metre(value)
        if head.metre is None:
            return f"expected a metre such as 4/4 or 6/8, got {value[:40]!r}"
    elif word == "tempo":
        return _read_tempo(head, value)
    else:
        head.feel = read_feel(value)
        if head.feel is None:
            return f"expected straight, swing or shuffle (swing 1.8, swing sixteenths), got {value[:40]!r}"
    return ""


def _read_tempo(head: ChartHead, value: str) -> str:
    """Set the tempo, or return what is wrong with *value*."""
    try:
        tempo_bpm = float(value)
    except ValueError:
        tempo_bpm = 0.0
    if not LOWEST_TEMPO_BPM <= tempo_bpm <= HIGHEST_TEMPO_BPM:
        limits = f"{LOWEST_TEMPO_BPM} to {HIGHEST_TEMPO_BPM}"
        return f"expected a number {limits} (quarter notes a minute), got {value[:40]!r}"
    head.tempo_bpm = tempo_bpm
    return ""
