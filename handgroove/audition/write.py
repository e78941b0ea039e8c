"""Writing an audition: the recordings, the page, the numbers for programs, and afterwards the choice."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path

from handgroove.audition.compare import compare
from handgroove.audition.page import PageReading, format_page
from handgroove.audition.readings import Readings
from handgroove.errors import HandgrooveError, Problem
from handgroove.groove.hits import Groove
from handgroove.hands.player import Player
from handgroove.output.files import write_whole
from handgroove.output.sound.instrument import read_instrument
from handgroove.output.sound.mix import format_wav
from handgroove.output.sound.recording import Drums, record
from handgroove.picks import Picks, picks_path, read_picks, write_picks
from handgroove.timeline import Timeline

PAGE, NUMBERS, DRUMS = "audition.html", "readings.json", "drums.wav"
USUAL_BARS = 8


def find_span(timeline: Timeline, bars: str = "") -> tuple[int, int]:
    """Return the first tick and end tick of *bars* (``5-12`` or ``5``); without it, of the first eight and the pickup.

    Raise HandgrooveError where there are no such bars.
    """
    last = max((bar.number for bar in timeline.bars()), default=0)
    if not bars:
        return 0, min(timeline.end_tick, timeline.bar_start(USUAL_BARS + 1))
    low, _, high = bars.partition("-")
    numbers = [int(text) if text.strip().isdigit() else -1 for text in (low, high or low)]
    if not 1 <= numbers[0] <= numbers[1] <= last:
        text = f"expected bars from 1 to {last}, as in 5-12, got {bars!r}"
        raise HandgrooveError(Problem("--bars", text))
    return timeline.bar_start(numbers[0]), min(timeline.end_tick, timeline.bar_start(numbers[1] + 1))


def file_names(count: int) -> list[str]:
    """Return the names of all files of an audition of *count* readings."""
    return [PAGE, NUMBERS, DRUMS, *(f"reading-{number}.wav" for number in range(1, count + 1))]


def write_audition(
    readings: Readings,
    groove: Groove,
    player: Player,
    span: tuple[int, int],
    folder: Path,
    *,
    source: str,
    soundfont: Path | None = None,
) -> Iterator[Path]:
    """Write all recordings, the page and the numbers into *folder*, yielding each file when it is written."""
    instrument = read_instrument(soundfont)
    made = readings.readings
    takes = []
    for number, reading in enumerate(made, start=1):
        name = f"reading-{number}.wav"
        keep = f"handgroove audition {shlex.quote(source)} --out {shlex.quote(str(folder))} --pick {number}"
        takes.append(PageReading(number, reading, compare(reading.part, player, span), name, keep))
        yield write_whole(folder / name, format_wav(record(reading.part, instrument, span=span)))
    drums = record(made[0].part, None, drums=Drums.ONLY, span=span)
    yield write_whole(folder / DRUMS, format_wav(drums))
    title = made[0].part.title or groove.title or source
    yield write_whole(folder / NUMBERS, _format_numbers(takes, source))
    yield write_whole(folder / PAGE, format_page(title, takes, span, DRUMS, readings.messages))


def _format_numbers(takes: Sequence[PageReading], source: str) -> str:
    rows = [
        {
            "number": take.number,
            "name": take.reading.name,
            "choice": dict(take.reading.choice),
            "file": take.file,
            **asdict(take.comparison),
        }
        for take in takes
    ]
    return json.dumps({"source": source, "readings": rows}, indent=2, ensure_ascii=False) + "\n"


def keep_reading(number: int, folder: Path, source: str) -> tuple[str, Path]:
    """Write the choice of reading *number* into the picks of *source*; return its name and the picks file."""
    path = folder / NUMBERS
    remedy = f"make them first: handgroove audition {shlex.quote(source)}"
    try:
        rows = {row["number"]: row for row in json.loads(path.read_text(encoding="utf-8"))["readings"]}
    except (OSError, ValueError, KeyError, TypeError):
        raise HandgrooveError(
            Problem(str(path), "there are no readings to choose from", remedy=remedy)
        ) from None
    if number not in rows:
        text = f"expected a reading from 1 to {max(rows)}, got {number}"
        raise HandgrooveError(Problem("--pick", text))
    kept = picks_path(source)
    picks = read_picks(kept) if kept.exists() else Picks()
    choice = rows[number]["choice"]
    picks = picks.with_reading({key: value for key, value in choice.items() if not key.startswith("bar ")})
    for key, value in choice.items():
        if key.startswith("bar "):
            picks = picks.with_figure(int(key.removeprefix("bar ")), int(value))
    return rows[number]["name"], write_picks(picks, kept, Path(source).name)
