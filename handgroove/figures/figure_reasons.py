"""Why a figure is good, or what is wrong with it, in a musician's words."""

from __future__ import annotations

from itertools import pairwise

from handgroove.figures.agreement import kendall_tau
from handgroove.figures.figure_costs import FAST_PER_SEC, SMALLEST_LEAP
from handgroove.figures.figure_search import Path, motive_moves, steps_between
from handgroove.figures.frame import Frame
from handgroove.figures.pitches import pitch_name

INTERVALS = (
    *(
        "unison",
        "semitone",
        "tone",
        "minor third",
        "major third",
        "fourth",
        "tritone",
        "fifth",
        "minor sixth",
    ),
    *("major sixth", "minor seventh", "major seventh", "octave"),
)
DEGREES = {
    0: "root",
    3: "third",
    4: "third",
    6: "fifth",
    7: "fifth",
    8: "fifth",
    10: "seventh",
    11: "seventh",
}


def give_reasons(frame: Frame, path: Path, line: tuple[int, ...] = ()) -> tuple[str, ...]:
    """Return the reasons for (and against) *path*, one sentence each.

    *line* are all pitches that sound in turn (empty = the path's own and its landing).
    """
    sung = line or _whole(path)
    return tuple(
        reason
        for reason in (
            _motive(frame, path),
            _contour(frame, path),
            _accents(frame, path),
            _steps(sung),
            _leaps(sung),
            _landing(frame, path),
            _speed(frame),
        )
        if reason
    )


def _whole(path: Path) -> tuple[int, ...]:
    return path.pitches if path.landing is None else (*path.pitches, path.landing)


def _count_said(frame: Frame, path: Path) -> tuple[int, int]:
    """Return how many groups of three notes and more say the path's motive, and how many there are."""
    moves = motive_moves(frame, path.motive)
    starts = [index for index, onset in enumerate(frame.onsets) if index == 0 or onset.new_group]
    said = groups = 0
    for first, end in zip(starts, (*starts[1:], len(moves)), strict=True):
        inside = range(first + 1, end)
        if len(inside) > 1 and path.motive.moves:
            groups += 1
            said += all(
                steps_between(frame.ladders[i], path.pitches[i - 1], path.pitches[i]) == moves[i]
                for i in inside
            )
    return said, groups


def name_line(frame: Frame, path: Path) -> str:
    """Return what *path* is as it stands: a run, the motive that most of its groups say, or a free line."""
    pairs = zip(frame.ladders[1:], pairwise(path.pitches), strict=True)
    steps = {steps_between(ladder, before, after) for ladder, (before, after) in pairs}
    if steps in ({-1}, {1}):
        return "a run down" if steps == {-1} else "a run up"
    said, groups = _count_said(frame, path)
    return path.motive.name if said and 2 * said >= groups else "a free line"


def _motive(frame: Frame, path: Path) -> str:
    name = name_line(frame, path)
    if name != path.motive.name or name.startswith("a run"):
        return "goes its own way, with no motive" if name == "a free line" else f"is {name}"
    said, groups = _count_said(frame, path)
    where = "throughout" if said == groups else f"in {said} of {groups} groups"
    return f"says {name} {where}"


def contour_agreement(frame: Frame, path: Path) -> float:
    """Return Kendall's tau between the drums' heights and the pitches, group by group (each group's mean).

    A figure of one group is looked at note by note.
    """
    alone = not any(onset.new_group for onset in frame.onsets[1:])
    heights: list[list[float]] = []
    pitches: list[list[float]] = []
    for onset, pitch in zip(frame.onsets, path.pitches, strict=True):
        if onset.new_group or not heights or alone:
            heights.append([])
            pitches.append([])
        heights[-1].append(onset.height)
        pitches[-1].append(pitch)
    return kendall_tau([sum(h) / len(h) for h in heights], [sum(p) / len(p) for p in pitches])


def _contour(frame: Frame, path: Path) -> str:
    if len(set(frame.levels)) == 1:
        line = _whole(path)
        where = "end" if path.landing is None else "landing"
        return f"{'falls' if line[0] > line[-1] else 'climbs' if line[0] < line[-1] else 'comes back'} to its {where}"
    tau = contour_agreement(frame, path)
    way = "down" if path.pitches[0] > path.pitches[-1] else "up"
    led = (path.pitches[0] - path.pitches[-1]) * frame.slant > 0
    if tau > 0.6 and led:
        return f"goes {way} as the drums do (tau {tau:.2f})"
    return f"follows the drums' heights loosely (tau {tau:.2f})"


def _accents(frame: Frame, path: Path) -> str:
    accents = [index for index, onset in enumerate(frame.onsets) if onset.accent >= 0.8]
    good = sum(path.pitches[index] % 12 in frame.chords[index].tone_pcs for index in accents)
    if not accents:
        return ""
    symbols = list(dict.fromkeys(frame.chords[index].symbol for index in accents))
    if good == len(accents):
        return f"every accent is a chord tone of {' and '.join(symbols)}"
    return f"{good} of {len(accents)} accents are chord tones of {' and '.join(symbols)}"


def _steps(line: tuple[int, ...]) -> str:
    sizes = [abs(b - a) for a, b in pairwise(line)]
    if not sizes:
        return ""
    steps = sum(1 <= size <= 2 for size in sizes)
    return (
        "moves by step throughout" if steps == len(sizes) else f"moves by step {steps} of {len(sizes)} times"
    )


def _leaps(line: tuple[int, ...]) -> str:
    leaps = [i for i in range(1, len(line)) if abs(line[i] - line[i - 1]) >= SMALLEST_LEAP]
    if not leaps:
        return ""
    widest = max(leaps, key=lambda i: abs(line[i] - line[i - 1]))
    size = abs(line[widest] - line[widest - 1])
    name = INTERVALS[size] if size < len(INTERVALS) else "leap of more than an octave"
    turns = (
        widest + 1 < len(line) and (line[widest + 1] - line[widest]) * (line[widest] - line[widest - 1]) < 0
    )
    article = "an" if name[0] == "o" else "a"
    return f"its widest leap, {article} {name}, {'turns back' if turns else 'is left open'}"


def _landing(frame: Frame, path: Path) -> str:
    if path.landing is None:
        return ""
    last, size = path.pitches[-1], path.landing - path.pitches[-1]
    verb = "falls" if size < 0 else "rises" if size > 0 else "stays"
    by = f" by a {INTERVALS[abs(size)]}" if 0 < abs(size) < len(INTERVALS) else ""
    chord = frame.landing_chord
    degree = ""
    if chord is not None:
        step = (path.landing - chord.root.pc) % 12
        degree = f", the {DEGREES[step]} of {chord.symbol}" if step in DEGREES else f" over {chord.symbol}"
    start = pitch_name(last, frame.key, frame.chords[-1])
    return f"{start} {verb}{by} to {pitch_name(path.landing, frame.key, chord)}{degree}"


def _speed(frame: Frame) -> str:
    gaps = frame.seconds[:-1] if len(frame.seconds) > 1 else ()
    fastest = max((1 / gap for gap in gaps if gap > 0), default=0.0)
    if not fastest:
        return ""
    ease = "easy" if fastest <= 8 else "quick" if fastest <= frame.settings.fastest_per_sec else "very fast"
    return f"{fastest:.1f} notes a second at most: {ease}" if fastest > FAST_PER_SEC / 2 else ""
