"""The parts of a MusicXML note that piano and drums share: tuplets and beams."""

from __future__ import annotations

from handgroove.output.score.sheet_model import Symbol


def time_modification(symbol: Symbol) -> str:
    """Return the ``<time-modification>`` of a symbol in a tuplet."""
    tuplet = symbol.tuplet
    if tuplet is None:
        return ""
    inside = f"<actual-notes>{tuplet.actual}</actual-notes><normal-notes>{tuplet.normal}</normal-notes>"
    return f"<time-modification>{inside}<normal-type>{tuplet.unit}</normal-type></time-modification>"


def tuplet_notation(symbol: Symbol) -> str:
    """Return the ``<tuplet>`` that begins or ends with *symbol*."""
    tuplet = symbol.tuplet
    if tuplet is None:
        return ""
    start = '<tuplet type="start" bracket="yes"/>' if symbol.tick == tuplet.tick else ""
    return start + ('<tuplet type="stop"/>' if symbol.end_tick == tuplet.end_tick else "")


def beams(symbol: Symbol) -> str:
    """Return the ``<beam>`` elements of *symbol*."""
    return "".join(f'<beam number="{n}">{kind}</beam>' for n, kind in enumerate(symbol.beams, 1))


def grace_signs(place: int, count: int) -> tuple[str, str, str]:
    """Return the ``<grace>``, type and beams of the grace note at *place* (from 0) of *count* before one note.

    One alone is an eighth with a slash (acciaccatura); more are beamed sixteenths without (common practice).
    """
    if count == 1:
        return '<grace slash="yes"/>', "<type>eighth</type>", ""
    kind = "begin" if place == 0 else "end" if place == count - 1 else "continue"
    beamed = "".join(f'<beam number="{number}">{kind}</beam>' for number in (1, 2))
    return "<grace/>", "<type>16th</type>", beamed
