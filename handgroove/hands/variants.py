"""What can be done with a slice that can't be played as asked: its variants, each with what would be lost.

The moves: other fingers, a note an octave nearer, a chord rolled by a hair, notes dropped one by one, everything
dropped. What is lost is counted in the player's worth of the notes; the shares
are design choices.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from handgroove.hands.apart import HIGHEST, LOWEST, Neighbours, clash, overlap
from handgroove.hands.finger_costs import Costs
from handgroove.hands.hand_model import MIRROR
from handgroove.hands.low_end import is_mud
from handgroove.hands.player import Player
from handgroove.hands.slices import Slice, Sound, Variant, as_asked
from handgroove.hands.targets import NO_FINGERS
from handgroove.hands.wishes import Wish, clock_of
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline

OCTAVE_LOSS = 0.45  # share of a note's worth: the part of it that is its register
MELODY_OCTAVE_LOSS = 0.9  # a tune's contour is most of it
HELPED = 0.35  # of its worth is lost where a note has to go but the other hand can take it
ROLL_LOSS = 0.3  # of the best note's worth: the low note is cut short and the others come late
INNER = 0.7  # an inner note of a chord is missed less than its top or bottom
TOP = 1.2
ROLL_BEYOND = 3  # semitones over the hand's reach that a roll can bridge
MOST_CHANGES = 4  # variants tried beside the slice as asked, its best note alone, and nothing
NEAR_TICKS = 120  # around a note, in which the other hand must not be far away
MOST_CHOSEN = 6  # notes of a slice among which what goes is chosen


class Opener:
    """Opens slices of one hand: knows its model, and where the other hand is."""

    def __init__(
        self, player: Player, hand: Hand, costs: Costs, other: Neighbours, timeline: Timeline
    ) -> None:
        self.player, self.hand, self.costs, self.other = player, hand, costs, other
        self.model = costs.model
        self.timeline, self.clock = timeline, clock_of(timeline)
        self.action_sec = 1 / player.speeds.action_hz

    def __call__(self, piece: Slice) -> tuple[Variant, ...]:
        """Return the variants of *piece*, as asked first, leaving everything out last; all that fingers can span."""
        whole = as_asked(piece)
        worths = self._worths(piece, whole)
        variants = [*self._octaves(piece, whole), *self._thinned(whole, worths)]
        variants.sort(key=lambda variant: variant.loss)
        few = [*self._rolls(whole, worths), *islice(filter(self._is_spanned, variants), MOST_CHANGES)]
        few.sort(key=lambda variant: variant.loss)
        if len(whole.sounds) > 2:
            few.append(self._only_best(whole, worths))
        nothing = Variant((), sum(worths.values()), "left out", tuple(worths))
        return (whole, *few, nothing)

    def _is_spanned(self, variant: Variant) -> bool:
        """Return whether some fingers span all of *variant*."""
        return bool(self.costs.shapes(variant.views, NO_FINGERS[: len(variant.sounds)]))

    def _only_best(self, whole: Variant, worths: dict[int, float]) -> Variant:
        """Return the slice with nothing but its most important note."""
        best = max(whole.sounds, key=lambda sound: (worths[sound.note], -sound.note))
        gone = tuple(sound.note for sound in whole.sounds if sound is not best)
        return Variant((best,), sum(worths[note] for note in gone), "left out", gone)

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
        if len(sounds) > 1:
            inner = sounds[0] if self.hand is Hand.RIGHT else sounds[-1]  # the one next to the other hand
            if self._can_help(piece.wishes[inner.note - piece.first]):
                worths[inner.note] *= HELPED
        return worths

    def _can_help(self, wish: Wish) -> bool:
        """Return whether the other hand is near and free enough to take *wish*; a guess, checked in the end."""
        near = self.other.near(wish.tick - NEAR_TICKS, wish.end_tick + NEAR_TICKS)
        pitches = [neighbour.pitch for neighbour in near] + [wish.pitch]
        reach = self.player.size(self.hand.other).most
        return len(near) < 4 and max(pitches) - min(pitches) <= reach and not wish.grace

    def _is_top(self, place: int, sounds: tuple[Sound, ...]) -> bool:
        return place == (len(sounds) - 1 if self.hand is Hand.RIGHT else 0)

    def _thinned(self, whole: Variant, worths: dict[int, float]) -> Iterator[Variant]:
        """Yield the slice with one note gone, then two ...; of more than six, the least important go at once."""
        ranked = sorted(whole.sounds, key=lambda sound: (-worths[sound.note], sound.note))
        few, surplus = ranked[:MOST_CHOSEN], tuple(sound.note for sound in ranked[MOST_CHOSEN:])
        for mask in range(0 if surplus else 1, 2 ** len(few) - 1):
            gone = surplus + tuple([sound.note for at, sound in enumerate(few) if mask >> at & 1])
            kept = tuple([sound for sound in whole.sounds if sound.note not in gone])
            yield Variant(kept, sum([worths[note] for note in gone]), "left out", gone)

    def _octaves(self, piece: Slice, whole: Variant) -> Iterator[Variant]:
        """Yield the slice with one note an octave up or down, where the other hand leaves room."""
        for sound in whole.sounds:
            wish = piece.wishes[sound.note - piece.first]
            for up in (12, -12):
                pitch = wish.pitch + up
                # The snare's octave below is the kick's, and a kick keeps its one octave.
                if wish.role is Role.KICK or (wish.role is Role.SNARE and up < 0):
                    continue
                if not LOWEST <= pitch <= HIGHEST or not self._has_room(wish, pitch):
                    continue
                if any(is_mud(pitch, asked.pitch) for asked in piece.wishes if asked is not wish):
                    continue
                view = pitch if self.hand is Hand.RIGHT else MIRROR - pitch
                if any(other.view == view for other in whole.sounds):
                    continue
                moved = [s._replace(view=view) if s is sound else s for s in whole.sounds]
                moved.sort(key=lambda s: (s.view, s.sec))
                change = "up" if up > 0 else "down"
                share = MELODY_OCTAVE_LOSS if wish.role is Role.MELODY else OCTAVE_LOSS
                yield Variant(tuple(moved), wish.worth * share, change, (sound.note,))

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
        later = self._whole_tick(low.sec + self.model.jump_sec(beyond) + 0.005)
        if any(s is not low and s.end_sec <= later + 0.05 for s in sounds):
            return
        upper = tuple(s for s in sounds if s is not low)
        if self._meets({s.view if self.hand is Hand.RIGHT else MIRROR - s.view for s in upper}, later):
            return
        finger = 1 if self.hand is Hand.RIGHT else 5
        shapes = self.costs.shapes(tuple(s.view for s in upper), NO_FINGERS[: len(upper)])
        far = 6 - finger  # the two ends of the hand are what reaches farthest
        fingers = next((s.fingers for s in shapes if finger not in s.fingers and far in s.fingers), None)
        if fingers is None:
            return
        rolled = [s._replace(sec=later, finger=f) for s, f in zip(upper, fingers, strict=True)]
        rolled.append(low._replace(end_sec=later, finger=finger))
        rolled.sort(key=lambda s: s.view)
        loss = max(worths.values()) * (ROLL_LOSS + 0.05 * len(sounds))
        yield Variant(tuple(rolled), loss, "rolled", (*(s.note for s in upper), low.note))

    def _meets(self, pitches: set[int], sec: float) -> bool:
        """Return whether the other hand strikes one of *pitches* sooner before or after *sec* than its action can."""
        first, last = (self.timeline.sec_to_tick(sec + d) for d in (-self.action_sec, self.action_sec))
        near = self.other.near(first, last + 1)
        return any(one.pitch in pitches and abs(one.sec - sec) < self.action_sec for one in near)

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
