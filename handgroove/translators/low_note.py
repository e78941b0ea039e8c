"""The kick becomes the left little finger's low note."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit
from handgroove.harmony.voice.replies import approach_pitch, fold_low
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, Moment, Role, Strike
from handgroove.translators.loudness import left_velocity

LOWEST_FIFTH = 28  # E1: the string basses' lowest note
HIGHEST_BASS = 43  # G2: a bass line's higher notes come down to where the hand is
LOWEST = 24  # C1: below it a chord's root is a rumble (common practice, no source)


class LowNoteSettings(Settings):
    """How the low note behaves."""

    push: bool = Field(
        True, description="the last kick before a new chord already takes that chord's low note"
    )
    push_within: float = Field(
        0.5, gt=0, le=2, description="how near the change it must be, in quarter notes"
    )
    approach: bool = Field(
        False,
        description="a kick in the beat before a new chord steps into it, if it does not already take it",
    )
    follow_bass: bool = Field(True, description="take the pitch that a bass line sounds, where there is one")
    second_half: Literal["same", "fifth", "octave"] = Field(
        "same",
        description="what the second half of the bar plays while the chord stays: a left hand in two has the fifth",
    )
    hold: float = Field(
        4.0, gt=0, le=16, description="quarter notes it is held at most, if the hand stays free"
    )


class LowNote:
    """Kick to the low note: on the chord's root or the bass line, held until the hand's next stroke."""

    name: ClassVar[str] = "low note"
    summary: ClassVar[str] = "kick: the left little finger's low note, held until the hand's next stroke"
    settings_model: ClassVar[type[Settings]] = LowNoteSettings

    def __init__(self, settings: LowNoteSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the one low note, a little accented where the drummer leans on it."""
        pitch = self._pitch(moment)
        return [
            Strike(
                (pitch,),
                left_velocity(hit.velocity),
                Hand.LEFT,
                Role.KICK,
                round(self.settings.hold * 960),
                until_next=True,
                fingers=(5,),
                weight=moment.importance,
                second=_fifth_above(pitch, moment),
            )
        ]

    def _pitch(self, moment: Moment) -> int:
        if self.settings.follow_bass and moment.bass is not None:
            low_enough = LOWEST <= moment.bass <= HIGHEST_BASS
            return moment.bass if low_enough else fold_low(moment.bass, moment.low)
        change = moment.ticks_to_change
        pushed = change is not None and change <= self.settings.push_within * 960
        if self.settings.push and pushed and moment.next_low is not None:
            return moment.next_low
        leading = self._approach(moment)
        if leading is not None:
            return leading
        return self._alternate(moment) if self._in_second_half(moment) else moment.low

    def _approach(self, moment: Moment) -> int | None:
        """Return the step into the next chord's low note, in the beat before it; None elsewhere or unwanted."""
        change, chord, low = moment.ticks_to_change, moment.next_chord, moment.next_low
        if not self.settings.approach or change is None or chord is None or low is None:
            return None
        in_last_beat = change <= moment.metre.beat_ticks
        return approach_pitch(moment.low, low, chord) if in_last_beat else None

    def _in_second_half(self, moment: Moment) -> bool:
        """Return whether the stroke is in (or leans into) the bar's second half, and its chord came before that."""
        if self.settings.second_half == "same" or moment.ticks_since_change is None:
            return False
        bar = moment.metre.bar_ticks
        lean = self.settings.push_within * 960 if self.settings.push else 0
        after_half = moment.offset_ticks - bar // 2
        leaning = (moment.offset_ticks + lean) % bar >= bar // 2
        return leaning and moment.ticks_since_change > after_half

    def _alternate(self, moment: Moment) -> int:
        """Return the fifth below the root (above it, where that is too low), or the octave above the low note."""
        if self.settings.second_half == "octave":
            return moment.low + 12
        chord = moment.chord
        if chord is None or moment.low % 12 != chord.root.pc:
            return moment.low
        below = moment.low + chord.fifth - 12
        return below if below >= LOWEST_FIFTH else moment.low + chord.fifth


def _fifth_above(pitch: int, moment: Moment) -> int:
    """Return the second finger's key for a kick too quick for the little finger on *pitch*: the chord's fifth above.

    Where *pitch* is not the root, it is the chord tone about a fifth above; never the octave, which says snare.
    """
    chords = [chord for chord in (moment.chord, moment.next_chord) if chord is not None]
    for chord in chords:
        if pitch % 12 == chord.root.pc:
            return pitch + chord.fifth
    tones = chords[0].pcs if chords else frozenset()
    return next((pitch + up for up in (7, 8, 9, 6, 5) if (pitch + up) % 12 in tones), pitch + 7)
