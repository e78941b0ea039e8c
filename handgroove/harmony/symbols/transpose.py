"""Transposition with right enharmonics: every name moves by the same written interval, chosen by the key."""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.harmony.symbols.chord_model import Chord, Key, Name
from handgroove.harmony.symbols.chord_text import polychord, read_symbol
from handgroove.harmony.symbols.names import LETTER_ORDER, fifths, name_above, plainer


@dataclass(frozen=True, slots=True)
class Interval:
    """A written interval upwards: its *degree* (1 to 7; 3 = a third) and its size in *semitones* (0 to 11)."""

    degree: int
    semitones: int

    def above(self, name: Name) -> Name:
        """Return *name* moved up by the interval, without double accidentals."""
        return plainer(name_above(name, self.degree, self.semitones))


def key_interval(key: Key, semitones: int) -> Interval:
    """Return the written interval that takes *key* up by *semitones* (mod 12) to its plainest spelling.

    Of two spellings as plain (F# and Gb) the one on the old key's side, sharps or flats, is taken.
    """
    step = semitones % 12
    side = 1 if fifths(key) > 0 else -1

    def plainness(interval: Interval) -> tuple[int, bool]:
        count = fifths(Key(name_above(key.tonic, interval.degree, step), key.minor))
        return abs(count), count * side < 0

    intervals = [Interval(degree, step) for degree in range(1, 8)]
    fitting = [i for i in intervals if abs(name_above(key.tonic, i.degree, step).alter) <= 1]
    on_letter = [i for i in fitting if name_above(key.tonic, i.degree, step).letter == _letter(key.tonic, i)]
    return min(on_letter, key=plainness)


def _letter(name: Name, interval: Interval) -> str:
    """Return the letter that *interval* above *name* is written on."""
    return LETTER_ORDER[(LETTER_ORDER.index(name.letter) + interval.degree - 1) % 7]


def move_chord(chord: Chord, interval: Interval) -> Chord:
    """Return *chord* moved up by the written *interval*."""
    if "//" in chord.symbol:
        upper, lower = (read_symbol(half) for half in chord.symbol.split("//", 1))
        assert isinstance(upper, Chord)
        assert isinstance(lower, Chord)
        return polychord(move_chord(upper, interval), move_chord(lower, interval))
    root, bass = interval.above(chord.root), interval.above(chord.bass)
    tail = chord.symbol[len(str(chord.root)) :]
    if chord.bass != chord.root:
        tail = tail[: -len(str(chord.bass)) - 1]
        tail = f"{tail}/{bass}"
    return Chord(f"{root}{tail}", root, bass, chord.tones, chord.tensions, chord.scale)
