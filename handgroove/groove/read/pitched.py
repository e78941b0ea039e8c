"""When a band's pitched notes sound, so that the bars of drums alone can be told."""

from __future__ import annotations

from pathlib import Path

from handgroove.groove.read.smf import DRUM_CHANNEL, open_smf, scale_tick


def read_sounding(path: str | Path) -> tuple[tuple[int, int], ...]:
    """Return the start and end ticks (960 to the quarter) of every note off the drum channel, in order."""
    smf = open_smf(path)
    found: list[tuple[int, int]] = []
    for track in smf.tracks:
        raw = 0
        held: dict[tuple[int, int], int] = {}
        for message in track:
            raw += message.time
            if message.type not in ("note_on", "note_off") or message.channel + 1 == DRUM_CHANNEL:
                continue
            key = (message.channel, message.note)
            tick = scale_tick(raw, smf.ticks_per_beat)
            if key in held:
                found.append((held.pop(key), tick))
            if message.type == "note_on" and message.velocity:
                held[key] = tick
        end = scale_tick(raw, smf.ticks_per_beat)
        found += [(start, end) for start in held.values()]
    return tuple(sorted(found))
