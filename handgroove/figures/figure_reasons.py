"""Why a figure is good, or what is wrong with it, in a musician's words."""

from __future__ import annotations

from itertools import pairwise

from handgroove.figures.agreement import kendall_tau
from handgroove.figures.figure_costs import FAST_PER_SEC, SMALLEST_LEAP
from handgroove.figures.figure_search import Path
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


def give_reasons(frame: Frame, path: Path) -> tuple[str, ...]:
    """Return the reasons for (and against) *path*, one sentence each."""
    return tuple(
        reason
        for reason in (
            _motive(path),
            _contour(frame, path),
            _accents(frame, path),
            _steps(path),
            _leaps(path),
            _landing(frame, path),
            _speed(frame),
        )
        if reason
    )


def _motive(path: Path) -> str:
    return (
        f"says {path.motive.name} on every drum" if path.motive.moves else "goes its own way, with no motive"
    )


def contour_agreement(frame: Frame, path: Path) -> float:
    """Return Kendall's tau between the drums' heights and the pitches, group by group (each group's mean)."""
    heights: list[list[float]] = []
    pitches: list[list[float]] = []
    for onset, pitch in zip(frame.onsets, path.pitches, strict=True):
        if onset.new_group or not heights:
            heights.append([])
            pitches.append([])
        heights[-1].append(onset.height)
        pitches[-1].append(pitch)
    return kendall_tau([sum(h) / len(h) for h in heights], [sum(p) / len(p) for p in pitches])


def _contour(frame: Frame, path: Path) -> str:
    if len(set(frame.levels)) == 1:
        return "falls to its landing" if path.pitches[0] > path.pitches[-1] else "climbs to its landing"
    tau = contour_agreement(frame, path)
    way = "down" if frame.slant > 0 else "up"
    if tau > 0.6:
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


def _steps(path: Path) -> str:
    sizes = [abs(b - a) for a, b in pairwise(path.pitches)]
    if not sizes:
        return ""
    share = sum(1 <= size <= 2 for size in sizes) / len(sizes)
    return "moves by step throughout" if share == 1 else f"moves by step {share:.0%} of the time"


def _leaps(path: Path) -> str:
    line = (*path.pitches, *((path.landing,) if path.landing is not None else ()))
    leaps = [i for i in range(1, len(line)) if abs(line[i] - line[i - 1]) >= SMALLEST_LEAP]
    if not leaps:
        return ""
    widest = max(abs(line[i] - line[i - 1]) for i in leaps)
    name = INTERVALS[widest] if widest < len(INTERVALS) else "more than an octave"
    open_ = [i for i in leaps if i + 1 < len(line) and (line[i + 1] - line[i]) * (line[i] - line[i - 1]) >= 0]
    return f"its widest leap, a {name}, {'is left open' if open_ else 'turns back'}"


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
