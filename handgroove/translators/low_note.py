"""The kick becomes the left little finger's low note; a pattern may give that finger a line of its own beside it."""

from __future__ import annotations

from functools import cache
from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.harmony.voice.low_lines import ends_phrase, fifth_of, leading_note, middle_of, walk
from handgroove.harmony.voice.replies import approach_pitch, fold_low
from handgroove.host.translator import Answer, Settings
from handgroove.metre import beat_offsets
from handgroove.strike import Hand, Moment, Role, Strike
from handgroove.timeline import Metre
from handgroove.translators.loudness import left_velocity

HIGHEST_BASS = 45  # A2: a bass line's higher notes come down, so that a thumb's octave has room
LOWEST = 24  # C1: below it a chord's root is a rumble (common practice, no source)
LINE_SOFTER = 0.96  # so that a line is 75 to 85 % as loud as the cell's chords over it
LINE_SHARE = 0.9  # of the way to the line's next note: not quite legato
LINE_WEIGHT = 0.8  # beside the drummer's own strokes


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
        description="a kick in the beat before a new chord steps into it, if it does not already take it; in two "
        "every fourth bar's second half does, and a chord's with a flat thirteenth",
    )
    line: Literal["none", "one", "two", "walking"] = Field(
        "none",
        description="low notes of the hand's own, kick or no kick, beside each new chord's first: on 1, in two (1 and "
        "the bar's second half), or walking on every beat",
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
        in_line = moment.offset_ticks in self.line_places(moment.metre)
        feathered = in_line and moment.stroke is Stroke.GHOST
        velocity = (
            _line_velocity(max(hit.velocity, moment.loudness)) if feathered else left_velocity(hit.velocity)
        )
        return [
            Strike(
                (pitch,),
                velocity,
                Hand.LEFT,
                Role.KICK,
                self._line_hold(moment) if in_line else round(self.settings.hold * 960),
                until_next=not in_line,
                fingers=(5,),
                weight=moment.importance,
                second=_fifth_above(pitch, moment),
            )
        ]

    def line_places(self, metre: Metre) -> frozenset[int]:
        """Return the offsets in a bar of *metre* at which the hand has a low note of its own."""
        return _line_places(self.settings.line, metre)

    def line(self, moment: Moment) -> Answer:
        """Return the low note of the hand's own, not quite legato."""
        return [
            Strike(
                (self._pitch(moment),),
                _line_velocity(moment.loudness),
                Hand.LEFT,
                Role.BASS,
                self._line_hold(moment),
                fingers=(5,),
                weight=LINE_WEIGHT,
            )
        ]

    def _line_hold(self, moment: Moment) -> int:
        """Return how long a note of the line is held: most of the way to its next one."""
        offset, bar = moment.offset_ticks, moment.metre.bar_ticks
        following = min((p for p in self.line_places(moment.metre) if p > offset), default=bar)
        return round(LINE_SHARE * (following - offset))

    def _pitch(self, moment: Moment) -> int:
        if self.settings.follow_bass and moment.bass is not None:
            low_enough = LOWEST <= moment.bass <= HIGHEST_BASS
            return moment.bass if low_enough else fold_low(moment.bass, moment.low)
        change = moment.ticks_to_change
        pushed = change is not None and change <= self.settings.push_within * 960
        if self.settings.push and pushed and not moment.next_fixed and moment.next_low is not None:
            return moment.next_low
        if self.settings.line == "walking":
            return self._walked(moment)
        leading = self._approach(moment) if self.settings.line == "none" else None
        if leading is not None:
            return leading
        return self._alternate(moment) if moment.is_rooted and self._in_second_half(moment) else moment.low

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
        """Return the second half's note: the fifth, the octave, or the half step into the bar that follows."""
        chord = moment.chord
        if self.settings.second_half == "octave":
            return moment.low + 12
        if chord is None:
            return moment.low
        last = moment.offset_ticks >= moment.metre.bar_ticks - moment.metre.beat_ticks
        leads = last or moment.offset_ticks in self.line_places(moment.metre)
        if self.settings.approach and leads and ends_phrase(moment.bar, chord):
            target = self._following(moment)
            leading = None if target is None else leading_note(moment.low, target)
            if leading is not None:
                return leading
        return fifth_of(moment.low, chord)

    @staticmethod
    def _following(moment: Moment) -> int | None:
        """Return the low note that the next bar begins with; None where the chord stays, or nothing follows."""
        if moment.ticks_to_change is None:
            return moment.turn_low
        left = moment.metre.bar_ticks - moment.offset_ticks
        return moment.next_low if moment.ticks_to_change <= left else None

    def _walked(self, moment: Moment) -> int:
        """Return the walking line's note on the beat of the stroke: each bar's line begins with its chord's root."""
        if moment.chord is None:
            return moment.low
        offset, since = moment.offset_ticks, moment.ticks_since_change
        start = 0 if since is None else max(0, offset - since)
        end = moment.metre.bar_ticks
        if moment.ticks_to_change is not None:
            end = min(end, offset + moment.ticks_to_change)
        beats = [start, *(beat for beat in beat_offsets(moment.metre) if start < beat < end)]
        target = self._following(moment)
        path = walk(moment.low, moment.chord, moment.low if target is None else target, len(beats))
        return path[sum(beat <= offset for beat in beats) - 1]


@cache
def _line_places(line: str, metre: Metre) -> frozenset[int]:
    match line:
        case "one":
            return frozenset({0})
        case "two":
            return frozenset({0, middle_of(metre)})
        case "walking":
            return frozenset(beat_offsets(metre))
    return frozenset()


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


def _line_velocity(velocity: int) -> int:
    """Return the velocity of a line's note where the drummer plays as hard as *velocity*."""
    return round(LINE_SOFTER * left_velocity(velocity))
