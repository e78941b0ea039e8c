"""A drum's height as a pitch of the chord of the moment: how toms and hand drums are heard at the piano."""

from __future__ import annotations

from handgroove.groove.kit import Piece
from handgroove.strike import Moment

_BOTTOM, _TOP = 45, 74  # A2 to D5: low and middle notes, above the left hand's octave
_LOW_HEIGHT, _HIGH_HEIGHT = 10, 66
MIDDLE = 55  # G3: from here up the right hand takes it
LONGEST_ROW = 4  # strokes of one key alone in the right hand: one more sounds like a stuck key


def pitch_of(piece: Piece, moment: Moment) -> int:
    """Return the chord tone nearest to the height of *piece*, between A2 and D5; higher drums never lie lower."""
    share = (piece.height - _LOW_HEIGHT) / (_HIGH_HEIGHT - _LOW_HEIGHT)
    aim = round(_BOTTOM + min(1.0, max(0.0, share)) * (_TOP - _BOTTOM))
    if moment.chord is None:
        return aim
    pcs = moment.chord.pcs
    return min(range(aim - 6, aim + 7), key=lambda pitch: (pitch % 12 not in pcs, abs(pitch - aim), pitch))


def is_stuck(pitch: int, moment: Moment) -> bool:
    """Return whether the right hand has struck *pitch* alone so often in a row that it takes another key."""
    key, count = moment.row
    return key == pitch and count >= LONGEST_ROW


def next_tone(pitch: int, moment: Moment) -> int:
    """Return the chord's next tone above *pitch*; *pitch* itself where no chord sounds."""
    pcs = moment.chord.pcs if moment.chord is not None else ()
    return next((above for above in range(pitch + 1, pitch + 12) if above % 12 in pcs), pitch)
