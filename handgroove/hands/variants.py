"""What can be done with a slice that can't be played as asked: its variants, each with what would be lost.

The moves: other fingers, a note an octave nearer, a chord rolled by a hair, notes dropped one by one, everything
dropped. What is lost is counted in the player's worth of the notes; the shares
are design choices.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from handgroove.hands.apart import HIGHEST, LOWEST, Neighbours, clash, overlap
from handgroove.hands.model import MIRROR, HandModel
from handgroove.hands.player import Player
from handgroove.hands.search import Slice, Sound, Variant, as_asked
from handgroove.hands.wishes import Wish, clock_of
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline

OCTAVE_LOSS = 0.45  # share of a note's worth: the part of it that is its register
ROLL_LOSS = 0.3  # of the low note, which is cut to a grace note's length
INNER = 0.7  # an inner note of a chord is missed less than its top or bottom
TOP = 1.2
ROLL_BEYOND = 4  # semitones over the hand's reach that a roll can bridge
MOST_VARIANTS = 6


class Opener:
    """Opens slices of one hand: knows its model, and where the other hand is."""

    def __init__(
        self, player: Player, hand: Hand, model: HandModel, other: Neighbours, timeline: Timeline
    ) -> None:
        self.player, self.hand, self.model, self.other = player, hand, model, other
        self.timeline, self.clock = timeline, clock_of(timeline)
        self.action_sec = 1 / player.speeds.action_hz

    def __call__(self, piece: Slice) -> tuple[Variant, ...]:
        """Return the variants of *piece*, as asked first, leaving everything out last."""
        whole = as_asked(piece)
        worths = self._worths(piece, whole)
        variants = [
            *self._octaves(piece, whole),
            *self._rolls(whole, worths),
            *self._thinned(whole, worths),
        ]
        variants.sort(key=lambda variant: variant.loss)
        nothing = Variant((), sum(worths.values()), "left out", tuple(worths))
        return (whole, *variants[: MOST_VARIANTS - 2], nothing)

    def _worths(self, piece: Slice, whole: Variant) -> dict[int, float]:
        """Return what each note is worth where it stands in its chord."""
        worths = {piece.first + place: wish.worth for place, wish in enumerate(piece.wishes)}
        sounds = whole.sounds
        for place, sound in enumerate(sounds):
            wish = piece.wishes[sound.note - piece.first]
            if len(sounds) > 2 and 0 < place < len(sounds) - 1:
                worths[sound.note] *= INNER
            elif len(sounds) > 1 and wish.role in (Role.COMPING, Role.COLOUR) and self._is_top(place, sounds):
                worths[sound.note] *= TOP
        return worths

    def _is_top(self, place: int, sounds: tuple[Sound, ...]) -> bool:
        return place == (len(sounds) - 1 if self.hand is Hand.RIGHT else 0)

    def _thinned(self, whole: Variant, worths: dict[int, float]) -> Iterator[Variant]:
        """Yield the slice with one note gone, then two ..., cheapest first."""
        sounds = whole.sounds
        count = len(sounds)
        for mask in range(1, 2 ** min(count, 6) - 1):
            gone = tuple(sounds[i].note for i in range(min(count, 6)) if mask >> i & 1)
            kept = tuple(sound for sound in sounds if sound.note not in gone)
            yield Variant(kept, sum(worths[note] for note in gone), "left out", gone)

    def _octaves(self, piece: Slice, whole: Variant) -> Iterator[Variant]:
        """Yield the slice with one note an octave up or down, where the other hand leaves room."""
        for sound in whole.sounds:
            wish = piece.wishes[sound.note - piece.first]
            for up in (12, -12):
                pitch = wish.pitch + up
                if not LOWEST <= pitch <= HIGHEST or not self._has_room(wish, pitch):
                    continue
                view = pitch if self.hand is Hand.RIGHT else MIRROR - pitch
                if any(other.view == view for other in whole.sounds):
                    continue
                moved = [replace(s, view=view) if s is sound else s for s in whole.sounds]
                moved.sort(key=lambda s: (s.view, s.sec))
                change = "up" if up > 0 else "down"
                yield Variant(tuple(moved), wish.worth * OCTAVE_LOSS, change, (sound.note,))

    def _has_room(self, wish: Wish, pitch: int) -> bool:
        """Return whether the hand could play *wish* at *pitch* without meeting the other."""
        return has_room(wish, pitch, self.other, self.player.may_cross, self.action_sec)

    def _rolls(self, whole: Variant, worths: dict[int, float]) -> Iterator[Variant]:
        """Yield the chord broken upwards: the low note first, let go as the rest is struck a hair later."""
        sounds = whole.sounds
        if len(sounds) < 2:
            return
        beyond = sounds[-1].view - sounds[0].view - self.model.size.most
        if not 0 < beyond <= ROLL_BEYOND:
            return
        low = sounds[0] if self.hand is Hand.RIGHT else sounds[-1]
        later = self._whole_tick(low.sec + self.model.jump_sec(beyond + 2) + 0.01)
        if any(s is not low and s.end_sec <= later + 0.05 for s in sounds):
            return
        rolled = tuple(replace(s, end_sec=later) if s is low else replace(s, sec=later) for s in sounds)
        loss = worths[low.note] * ROLL_LOSS + 0.05 * sum(worths.values())
        yield Variant(rolled, loss, "rolled", (*(s.note for s in sounds if s is not low), low.note))

    def _whole_tick(self, sec: float) -> float:
        """Return the seconds of the first tick at or after *sec*."""
        tick = self.timeline.sec_to_tick(sec)
        return self.clock(tick if self.clock(tick) >= sec else tick + 1)


def has_room(wish: Wish, pitch: int, other: Neighbours, may_cross: bool, action_sec: float) -> bool:
    """Return whether *wish* could sound at *pitch* without the hands clashing; *other* is the other hand."""
    ticks = 240  # beyond its ends, where the same key might be struck too soon after
    for neighbour in other.near(wish.tick - ticks, wish.end_tick + ticks):
        old, wish.pitch = wish.pitch, pitch
        left, right = (wish, neighbour) if wish.hand is Hand.LEFT else (neighbour, wish)
        meets = overlap(left, right, action_sec) and clash(left, right, may_cross)
        wish.pitch = old
        if meets:
            return False
    return True
