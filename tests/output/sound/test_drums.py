"""The drums to compare with: every piece sounds, each like itself, and hats choke."""

from __future__ import annotations

import numpy as np
import pytest

from handgroove.groove.kit import GENERAL_MIDI, Piece
from handgroove.output.sound.drums import make_drum
from handgroove.output.sound.recording import record
from tests.output.sound.parts import hit, make_part
from tests.tools.measure_sound import centroid_hz, level_db

RATE = 44_100


@pytest.mark.parametrize("piece", sorted(set(GENERAL_MIDI.pieces.values())))
def test_every_piece_sounds_and_ends(piece: Piece) -> None:
    """Each piece of the kit starts within 5 milliseconds, dies away, and ends without a step."""
    sound = np.abs(make_drum(piece))
    assert sound.max() > 0.2
    assert np.argmax(sound > 0.1 * sound.max()) < 0.005 * RATE
    assert sound[-20:].max() < 0.01 * sound.max()


def test_pieces_are_told_apart_by_their_brightness() -> None:
    """The kick lies below the toms, these below the snare, and the hats above all of them."""
    order = (Piece.KICK, Piece.FLOOR_TOM, Piece.HIGH_TOM, Piece.SNARE, Piece.CLOSED_HAT)
    centroids = [centroid_hz(make_drum(piece)) for piece in order]
    assert centroids == sorted(centroids)


def test_toms_are_as_high_as_the_kit_has_them() -> None:
    """From the low floor tom to the highest tom the strongest frequency rises."""
    toms = [
        Piece.LOW_FLOOR_TOM,
        Piece.FLOOR_TOM,
        Piece.LOW_TOM,
        Piece.MIDDLE_TOM,
        Piece.HIGH_TOM,
        Piece.HIGHEST_TOM,
    ]
    hertz = [int(np.abs(np.fft.rfft(make_drum(tom), 1 << 17)).argmax()) for tom in toms]
    assert hertz == sorted(hertz)
    assert len(set(hertz)) == len(hertz)


def test_a_closed_hat_chokes_the_open_one() -> None:
    """An open hat rings on until the foot or a closed hat shuts it."""
    ringing = record(make_part(hits=(hit(0, Piece.OPEN_HAT),)), None, drums="only")
    choked = record(
        make_part(hits=(hit(0, Piece.OPEN_HAT), hit(0.5, Piece.PEDAL_HAT, 1))), None, drums="only"
    )
    late = slice(round(0.32 * RATE), round(0.4 * RATE))
    assert level_db(choked[:, late]) < level_db(ringing[:, late]) - 30


def test_accents_stand_out() -> None:
    """A ghost of 30 is at least 15 dB below an accent of 110."""
    soft, hard = (record(make_part(hits=(hit(0, Piece.SNARE, v),)), None, drums="only") for v in (30, 110))
    assert level_db(soft) < level_db(hard) - 15
