"""The player: two hands described, how fast they are, and what matters most to them.

Reaches are in semitones between thumb and little finger; speeds in strokes a second.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from handgroove.strike import Hand, Role

DEFAULT_ORDER = (Role.MELODY, Role.KICK, Role.SNARE, Role.BASS, Role.COMPING, Role.COLOUR)


@dataclass(frozen=True, slots=True)
class HandSize:
    """One hand's reach from thumb to little finger, in semitones: *most* at a stretch, *comfortable* for long."""

    most: int = 14
    comfortable: int = 12


@dataclass(frozen=True, slots=True)
class Speeds:
    """How fast a hand can go: what it can't pass, and (*easy_...*) what starts to strain.

    *finger_hz*: one finger on one key. Index fingers tap 5 to 7 times a second (tapping studies, secondary source).
    *rock_hz*: two fingers in turn, half as fast again as one (T. Aoki, H. Kinoshita, 2001, Ergonomics 44(15)).
    *key_hz*: one key struck by changing fingers; 12 to 13 is the most that is met in print. Design choice below it.
    *action_hz*: what a grand piano's key repeats, with any fingers (technicians' figure); uprights about half.
    *run_hz*: a hand's single notes: experts play 7 to 16 tones a second (W. Goebl, C. Palmer, 2013, PLoS ONE 8(1)).
    Octaves from the wrist strain over *easy_octave_hz*: common practice, no source.
    A jump takes *jump_sec* and *jump_sec_per_semitone* beyond what the fingers reach: common practice, no source
    (stride players cross two octaves in a third of a second).
    """

    finger_hz: float = 6.0
    rock_hz: float = 9.0
    key_hz: float = 10.0
    action_hz: float = 14.0
    run_hz: float = 16.0
    jump_sec: float = 0.05
    jump_sec_per_semitone: float = 0.012
    easy_finger_hz: float = 4.5
    easy_run_hz: float = 12.0
    easy_octave_hz: float = 5.0


@dataclass(frozen=True, slots=True)
class Player:
    """Two hands and the player's order of importance, most important role first.

    With *may_cross* the hands may pass over each other; they never share a key.
    """

    name: str = "a pianist who reaches a ninth"
    left: HandSize = HandSize()
    right: HandSize = HandSize()
    order: tuple[Role, ...] = DEFAULT_ORDER
    speeds: Speeds = Speeds()
    may_cross: bool = False

    def size(self, hand: Hand) -> HandSize:
        """Return the size of one *hand*."""
        return self.left if hand is Hand.LEFT else self.right


def read_player(name_or_path: str | Path = "") -> Player:
    """Return the player of a name ("octave", "small hand") or a YAML file; nothing said, the default.

    Raise HandgrooveError with all that is wrong with a file, or a name that is not known.
    """
    if not name_or_path:
        return Player()
    from handgroove.hands.playerfile import find_player

    return find_player(name_or_path)
