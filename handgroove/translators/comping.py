"""Hats and ride become the right hand's comping: by a cell that the groove suggests, or stroke by stroke.

Where no cell is known (in a band the chord players decide; a drummer at the pads has just begun) each stroke is
answered.
"""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import WHOLE, CellStroke, Touch
from handgroove.groove.suggest.cell_styles import Busy, CellStyle, find_style
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.guide_tones import Wide, guide_pair, lift, light, spread
from handgroove.translators.loudness import ghost_velocity, right_velocity
from handgroove.translators.tones import is_stuck

_EIGHTH = 480
LIGHT = 0.6  # of what a chord would matter, where one key stands for it
_SOFTEST_CHORD = 64  # a cell's chord is no ghost, though one brings it
_FREE = 53  # F3: from here up it is clear of a low line, which lies higher than roots that thumbs answer
_LOWEST, _CLEAR = 52, 13  # an open shell's lowest note: E3, and above the left thumb's octave
_LEFT_TO_THE_CELL = "left to the cell: felt, not struck"


class CompingSettings(Settings):
    """How the right hand takes hats or ride; *fastest*, *light* and *full* are for style ``every hat``."""

    style: Literal[
        "cell", "every hat", "swing", "sixteenth funk", "ballad", "gospel", "reggae", "samba", "bossa"
    ] = Field(
        "cell",
        description="cell: a bar or two that the groove's own accents suggest, kept and varied; every hat: each stroke "
        "is answered; the others: cells as that music has them",
    )
    busy: Busy = Field("medium", description="how many strokes a cell has")
    wide: Literal["pairs", "medium", "open", "full"] = Field(
        "medium",
        description="a cell's chords: two guide tones; the chord as voiced; third, seventh and one colour, spread; "
        "or the chord with its top doubled below",
    )
    fastest: float = Field(
        7.0,
        ge=3,
        le=12,
        description="strokes a second that the hand rocks; faster ones are thinned to eighths",
    )
    light: Literal["thumb", "top", "leave out"] = Field(
        "thumb", description="what light strokes play: the chord's lowest note, its highest, or nothing"
    )
    full: Literal["accents", "beats", "backbeats", "always", "never"] = Field(
        "accents",
        description="which strokes may carry the whole chord; the other strong ones get its upper pair",
    )
    open_hold: float = Field(
        1.0, gt=0, le=4, description="how long an open hat's chord is held, in quarter notes"
    )
    hold: float | None = Field(
        None,
        gt=0,
        le=4,
        description="how long a closed stroke's chord is held at most, in quarter notes (none: as the style has it)",
    )


class Comping:
    """Hat and ride to right-hand chords: whole, upper pair, or a single light note, and thinned where too fast."""

    name: ClassVar[str] = "comping"
    summary: ClassVar[str] = (
        "hat and ride: right-hand chords on accents, single light notes between, open hats held"
    )
    settings_model: ClassVar[type[Settings]] = CompingSettings

    def __init__(self, settings: CompingSettings) -> None:
        self.settings = settings
        self._hold = 0.5 if settings.hold is None else settings.hold

    @property
    def cell_style(self) -> CellStyle | None:
        """Return how its cells are made, or None where every stroke is answered."""
        return (
            None
            if self.settings.style == "every hat"
            else find_style(self.settings.style, self.settings.busy)
        )

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the chord, pair or single note for one stroke, or why it is left out."""
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        if moment.cell is not None and self.settings.style != "every hat":
            return self._cell(hit, moment, moment.cell)
        if self._too_fast(moment):
            return _thinned(hit, moment)
        return self._every(hit, moment)

    def _every(self, hit: Hit, moment: Moment) -> Answer:
        """Return the stroke's own chord, pair or single note."""
        if hit.piece is Piece.OPEN_HAT:
            return [self._strike(hit, moment, moment.voicing, self.settings.open_hold)]
        if hit.piece is Piece.PEDAL_HAT:
            return self._pedal_hat(hit, moment)
        pitches = self._ride(moment) if hit.piece.family is Family.RIDE else self._hat(moment)
        if not pitches:
            return LeaveOut("light strokes are left out in this pattern")
        strong = len(pitches) > 1
        hold = self._hold if strong else 0.6 * self._hold
        return [self._strike(hit, moment, pitches, hold)]

    def _cell(self, hit: Hit, moment: Moment, cell: CellStroke) -> Answer:
        """Return what the cell asks here; a chord that comes in mid-bar is struck whatever the cell says."""
        touch, since = cell.touch, moment.ticks_since_change
        comes = since == 0 and moment.offset_ticks > 0 and moment.next_chord is not None
        if (
            touch in WHOLE
            and moment.offset_ticks == 0
            and since is not None
            and 0 < since <= _EIGHTH
            and moment.right
        ):
            return LeaveOut("the chord has come early and is held over")
        if comes and touch not in WHOLE:
            touch = Touch.CHORD
        if touch is Touch.NEIGHBOUR and _is_near_change(moment):
            touch = Touch.TOP
        if touch is Touch.NOTHING:
            return LeaveOut(_LEFT_TO_THE_CELL)
        pitches = self._pitches(moment, touch, is_lifted=cell.is_lifted)
        if len(pitches) == 1 and is_stuck(pitches[0], moment):
            others = [pitch for pitch in moment.voicing if pitch != pitches[0]]
            pitches = tuple(others[:1]) or pitches
        hold = cell.hold_ticks or 2 * _EIGHTH
        if touch in WHOLE and self.settings.hold is not None:
            hold = min(hold, round(self.settings.hold * 960))
        if comes:
            hold = max(hold, 3 * _EIGHTH)
        struck = max(hit.velocity, _SOFTEST_CHORD) if touch in WHOLE else hit.velocity
        velocity = max(1, round(right_velocity(struck) * cell.loudness))
        weight = moment.importance * (1.0 if touch in WHOLE else LIGHT)
        return [Strike(pitches, velocity, Hand.RIGHT, Role.COMPING, hold, until_next=True, weight=weight)]

    def _pitches(self, moment: Moment, touch: Touch, *, is_lifted: bool) -> tuple[int, ...]:
        chord, voicing = moment.chord, moment.voicing
        assert chord is not None
        if touch not in WHOLE:
            keys, last = light(chord, voicing, touch), moment.last_chord
            is_old = touch is Touch.NEIGHBOUR and last is not None and keys[0] % 12 in last.pcs
            return voicing[-1:] if is_old else keys  # a step that the chord before had would say that one
        placed = lift(voicing) if is_lifted else voicing
        wide = Wide.PAIRS if touch is Touch.PAIR else Wide(self.settings.wide)
        since = moment.ticks_since_change
        is_new = since is not None and since < moment.metre.beat_ticks
        return spread(chord, placed, wide, max(_LOWEST, min(moment.low + _CLEAR, _FREE)), is_new=is_new)

    def _too_fast(self, moment: Moment) -> bool:
        """Return whether the stroke is one that a fast passage is thinned by: between the eighths, and no accent."""
        if moment.rate <= self.settings.fastest or moment.stroke is Stroke.ACCENT:
            return False
        return not self._on(moment, _EIGHTH)

    @staticmethod
    def _on(moment: Moment, unit_ticks: int) -> bool:
        """Return whether the stroke is meant on a multiple of *unit_ticks* in the bar."""
        return moment.offset_ticks % unit_ticks == 0

    @staticmethod
    def _beat(moment: Moment) -> int:
        """Return the felt beat that the stroke is on, from 0, or -1 where it is on none."""
        beat, beside = divmod(moment.offset_ticks, moment.metre.beat_ticks)
        return -1 if beside else beat

    def _hat(self, moment: Moment) -> tuple[int, ...]:
        # Sixteenths: the pair on the eighths, thumb between. Eighths alone never are, however fast the tempo, and where
        # the eighths of very fast sixteenths are left, chords fall on the beats: no hand repeats them quicker for long.
        shorter = moment.rate > 0 and moment.ticks(1 / moment.rate) < 0.75 * _EIGHTH
        quick = 0.65 * self.settings.fastest
        on_beats = shorter and moment.rate / 2 > quick
        between = on_beats and self._beat(moment) < 0 and self._on(moment, _EIGHTH)
        if moment.stroke is Stroke.ACCENT and not between:
            return self._strong(moment)
        rocking = shorter and moment.rate > quick and not on_beats
        if rocking and self._on(moment, _EIGHTH) and moment.stroke is not Stroke.GHOST:
            return _upper_pair(moment)
        return self._light(moment)

    def _strong(self, moment: Moment) -> tuple[int, ...]:
        beat = self._beat(moment)
        # The whole chord falls where the kick usually does; on the backbeat the left thumb adds its note to the pair.
        whole = {
            "accents": beat % 2 == 0 and beat >= 0,
            "beats": beat >= 0,
            "backbeats": beat > 0 and beat % 2 == 1,
            "always": True,
            "never": False,
        }[self.settings.full]
        return moment.voicing if whole else _upper_pair(moment)

    def _light(self, moment: Moment) -> tuple[int, ...]:
        match self.settings.light:
            case "thumb":
                return moment.voicing[:1]
            case "top":
                return moment.voicing[-1:]
            case "leave out":
                return ()

    def _ride(self, moment: Moment) -> tuple[int, ...]:
        """Return a light line: not every ride stroke is a chord; 2 and 4 carry the pair, the skip note is a thumb."""
        beat = self._beat(moment)
        if moment.stroke is Stroke.ACCENT and self.settings.full == "always":
            return moment.voicing
        if beat < 0:
            return self._light(moment)
        if moment.stroke is Stroke.ACCENT and self.settings.full == "beats":
            return moment.voicing
        if beat % 2 == 1 and self.settings.full != "never":
            return _upper_pair(moment)
        return moment.voicing[-1:]

    def _pedal_hat(self, hit: Hit, moment: Moment) -> Answer:
        """Return the chord on 2 and 4 where the foot marks them alone or under a ride; beneath other hats nothing."""
        beat = self._beat(moment)
        if beat >= 0 and (beat % 2 == 1 or self.settings.full == "beats"):
            return [self._strike(hit, moment, moment.voicing, self._hold)]
        covered = moment.right and moment.stroke is not Stroke.ACCENT
        if Family.RIDE in moment.together or covered:
            return LeaveOut("the foot's hat is covered by what the right hand already plays")
        return [self._strike(hit, moment, moment.voicing[:1], 0.5 * self._hold)]

    @staticmethod
    def _strike(hit: Hit, moment: Moment, pitches: tuple[int, ...], hold: float) -> Strike:
        ghost = moment.stroke is Stroke.GHOST
        velocity = ghost_velocity(hit.velocity) if ghost else right_velocity(hit.velocity)
        weight = moment.importance * (LIGHT if len(pitches) == 1 else 1.0)
        return Strike(
            pitches, velocity, Hand.RIGHT, Role.COMPING, round(hold * 960), until_next=True, weight=weight
        )


def _upper_pair(moment: Moment) -> tuple[int, ...]:
    """Return the chord's upper pair, or its guide tones where that says too little or rubs."""
    assert moment.chord is not None
    return guide_pair(moment.chord, moment.voicing, upper=True)


def _is_near_change(moment: Moment) -> bool:
    """Return whether a chord changes within a beat: a step beside the chord would be heard as the other one's."""
    beat = moment.metre.beat_ticks
    since, ahead = moment.ticks_since_change, moment.ticks_to_change
    return (since is not None and since < beat) or (ahead is not None and ahead <= beat)


def _thinned(hit: Hit, moment: Moment) -> LeaveOut:
    name = "ride" if hit.piece.family is Family.RIDE else "hats"
    rate = round(moment.rate)
    reason = f"{name} thinned to eighths: {rate} a second is more than a right hand can repeat"
    return LeaveOut(reason, is_thinned=True)
