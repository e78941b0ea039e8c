"""The kit table against a registry library that carries the General MIDI percussion key map."""

from __future__ import annotations

import pretty_midi

from handgroove.groove.kit import GENERAL_MIDI, Family, Piece

# Words of the map's own names (General MIDI System Level 1, MMA 1991, as pretty_midi's constants.DRUM_MAP has them)
# that tell the family. "Electric Snare" and "Acoustic Snare" are one piece here, so are both bass drums.
FAMILY_WORDS = {
    "bass drum": Family.KICK,
    "snare": Family.SNARE,
    "side stick": Family.SNARE,
    "clap": Family.SNARE,
    "hi hat": Family.HAT,
    "crash": Family.CRASH,
    "splash": Family.CRASH,
    "chinese": Family.CRASH,
    "ride": Family.RIDE,
    "tom": Family.TOM,
}


def test_all_47_notes_are_there_with_the_right_family() -> None:
    """Notes 35 to 81 are all known, each in the family that the map's own name says."""
    assert len([note for note in GENERAL_MIDI.pieces if 35 <= note <= 81]) == 47
    for note in range(35, 82):
        name = pretty_midi.note_number_to_drum_name(note).lower()
        expected = next((family for word, family in FAMILY_WORDS.items() if word in name), Family.HAND)
        assert GENERAL_MIDI.pieces[note].family is expected, name


def test_hat_strokes_and_hand_drums_are_told_apart() -> None:
    """Closed, pedal and open hats, and the named hand drums, are the pieces that the map names."""
    for note, piece in GENERAL_MIDI.pieces.items():
        if not 60 <= note <= 81:
            continue
        ours = set(piece.value.replace("high", "hi").split())
        theirs = set(pretty_midi.note_number_to_drum_name(note).lower().split())
        assert ours & theirs, (piece, theirs)
    assert [GENERAL_MIDI.pieces[note] for note in (42, 44, 46)] == [
        Piece.CLOSED_HAT,
        Piece.PEDAL_HAT,
        Piece.OPEN_HAT,
    ]


def test_toms_rise_as_their_numbers_do() -> None:
    """The map's toms 41, 43, 45, 47, 48, 50 run from low to high, and so do our heights."""
    toms = [GENERAL_MIDI.pieces[note] for note in (41, 43, 45, 47, 48, 50)]
    assert all(
        "tom" in pretty_midi.note_number_to_drum_name(note).lower() for note in (41, 43, 45, 47, 48, 50)
    )
    heights = [tom.height for tom in toms]
    assert heights == sorted(set(heights))
