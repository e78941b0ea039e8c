"""Finding, reading and checking pattern files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from handgroove.data import data_folder
from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.groove.hits import Feel
from handgroove.groove.kit import Piece
from handgroove.groove.read.rows import GridHit, parse_rows
from handgroove.groove.read.steps import Grid
from handgroove.patterns.pattern import Assignment, Fill, Pattern
from handgroove.strike import Hand

if TYPE_CHECKING:
    from handgroove.harmony.voice.voicing_settings import HarmonySettings
    from handgroove.patterns.pattern_model import HandEntry, PatternFile
    from handgroove.yamlfile import Document

# Who takes what the file does not name: the little finger is the kick and the thumb the snare an octave up (common
# practice, no source); the rest follows what each translator is for.
USUAL_HANDS = (
    ("kick", "low note"),
    ("snare", "thumb reply"),
    ("side stick", "click"),
    ("clap", "click"),
    ("hat", "comping"),
    ("ride", "comping"),
    ("crash", "two-handed chord"),
    ("toms", "tom tones"),
    ("hand percussion", "hand percussion"),
)


def list_patterns() -> list[str]:
    """Return the names of the patterns that come with Handgroove, in order of the alphabet."""
    return sorted(path.stem for path in data_folder("patterns").glob("*.yaml"))


def find_pattern(name_or_path: str | Path) -> Path:
    """Return the file of a pattern given by name (``bossa nova``) or by a path to the player's own YAML file."""
    text = str(name_or_path)
    path = Path(text)
    if isinstance(name_or_path, Path) or path.suffix in (".yaml", ".yml") or len(path.parts) != 1:
        return path
    stem = text.strip().lower().replace(" ", "-").replace("_", "-")
    path = data_folder("patterns") / f"{stem}.yaml"
    if not path.is_file():
        remedy = did_you_mean(stem, list_patterns()) or "`handgroove patterns list` shows them all"
        raise HandgrooveError(
            Problem("", f"expected the name of a pattern or a YAML file, got {text!r}", remedy=remedy)
        )
    return path


def read_pattern(name_or_path: str | Path) -> Pattern:
    """Read a pattern by name or path; raise HandgrooveError with everything that is wrong in it, in file order."""
    path = find_pattern(name_or_path)
    if path.parent != data_folder("patterns"):
        return _read(path)  # a player's own may name plugins, which come and go
    stat = path.stat()
    return _read_own(path, stat.st_mtime_ns, stat.st_size)


@lru_cache(maxsize=64)
def _read_own(path: Path, _mtime_ns: int, _size: int) -> Pattern:
    """Read a pattern of Handgroove's own, once for each state of its file."""
    return _read(path)


def _read(path: Path) -> Pattern:
    from handgroove.yamlfile import load_yaml

    return check_pattern(load_yaml(path), path.stem)


def read_patterns() -> Iterable[Pattern]:
    """Yield the patterns that come with Handgroove, in order of the alphabet."""
    return map(read_pattern, list_patterns())


def check_pattern(document: Document, name: str) -> Pattern:
    """Return *document* as the pattern *name*; raise HandgrooveError with everything that is wrong, in file order."""
    from handgroove.patterns.pattern_check import find_problems
    from handgroove.patterns.pattern_model import PatternFile
    from handgroove.yamlfile import check_document

    problems = list(find_problems(document))
    try:
        file = check_document(document, PatternFile)
    except HandgrooveError as error:
        document.refuse((*problems, *error.problems))
        raise
    document.refuse(problems)
    return _make_pattern(document, file, name)


def _make_pattern(document: Document, file: PatternFile, name: str) -> Pattern:
    grid = file.grid()
    hits, bars = _lay_blocks(file.groove, grid)
    fills = []
    for fill_name, entry in file.fills.items():
        ruler = file.grid(entry)
        fill_hits, fill_bars = _lay_blocks(entry.groove, ruler)
        fills.append(
            Fill(fill_name, fill_hits, fill_bars, entry.lands, entry.about, ruler.steps_per_beat, ruler.feel)
        )
    assignments = tuple(_assign(document, file.hands))
    return Pattern(
        name=name,
        title=file.title,
        assignments=assignments,
        harmony=_make_harmony(file, grid.feel),
        about=" ".join(file.about.split()),
        as_drums=" ".join(file.as_drums.split()),
        at_the_piano=" ".join(file.at_the_piano.split()),
        tempo_bpm=file.tempo,
        metre=grid.metre,
        feel=grid.feel,
        steps_per_beat=file.steps_per_beat,
        hits=hits,
        bars=bars,
        fills=tuple(fills),
        source=document.source,
    )


def _make_harmony(file: PatternFile, feel: Feel) -> HarmonySettings:
    """Return what the file says of the chords over what suits its feel."""
    from handgroove.harmony.voice.voicing_settings import (
        LINE_CENTRE,
        LINE_RANGE,
        Idiom,
        LowChoice,
        PedalMode,
        TopLine,
        settings_for_feel,
    )

    settings = settings_for_feel(feel, file.tempo)
    said = file.harmony
    if said.voicing != "auto":
        settings = replace(settings, idiom=Idiom(said.voicing))
    if said.colour is not None:
        settings = replace(settings, colour=said.colour)
    if said.low_octave == "line":
        settings = replace(settings, low_range=LINE_RANGE, low_centre=LINE_CENTRE)
    return replace(
        settings, top=TopLine(said.top_line), low=LowChoice(said.low_note), pedal=PedalMode(said.pedal)
    )


def _lay_blocks(blocks: Iterable[dict[str, str]], grid: Grid) -> tuple[tuple[GridHit, ...], int]:
    """Return the hits of *blocks*, one after another, and how many bars they fill."""
    laid: list[GridHit] = []
    bars = 0
    for rows in blocks:
        hits, length, _ = parse_rows(rows, grid)
        start = bars * grid.metre.bar_ticks
        laid += [GridHit(start + hit.tick, hit.piece, hit.velocity) for hit in hits]
        bars += length
    return tuple(laid), bars


def _assign(document: Document, hands: tuple[HandEntry, ...]) -> Iterable[Assignment]:
    """Yield the file's assignments and the usual ones for what it does not name; a piece's own name goes first."""
    from handgroove.patterns.pattern_check import name_settings
    from handgroove.patterns.pattern_model import NOTHING, find_take_names

    means = find_take_names()
    named = {name for entry in hands for name in entry.take}
    usual = [(name, use) for name, use in USUAL_HANDS if name not in named]
    narrow = {next(iter(means[name])) for name in (*named, *(n for n, _ in usual)) if len(means[name]) == 1}
    wide_taken: set[Piece] = set()

    def take(names: Iterable[str]) -> frozenset[Piece]:
        """Return the pieces of *names* that are still free: a family leaves pieces that are named alone."""
        pieces = {p for name in names for p in means[name] if len(means[name]) == 1 or p not in narrow}
        free = frozenset(pieces - wide_taken)
        wide_taken.update(free)
        return free

    for number, entry in enumerate(hands):
        pieces = take(entry.take)
        if entry.use != NOTHING:
            hand = Hand(entry.hand) if entry.hand else None
            place = document.problem(("hands", number), "").place
            yield Assignment(pieces, entry.use, name_settings(entry.settings), hand, place)
    for name, use in usual:
        if pieces := take([name]):
            yield Assignment(pieces, use)
