"""Kit files: YAML that says which drum each of an electronic kit's note numbers is.

::

    name: The practice room's kit
    based on: General MIDI        # what holds for notes that are not named here; or: nothing
    notes:
      22: closed hat
      26: open hat
      38: snare
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from handgroove.groove.kit import GENERAL_MIDI, Kit, Piece
from handgroove.yamlfile import read_yaml
from handgroove.yamlfile.file_model import Expected, FileModel

NoteNumber = Annotated[int, Field(ge=0, le=127), Expected("a MIDI note number 0 to 127")]
PieceName = Annotated[Piece, Expected("the name of a drum or cymbal")]


class KitFile(FileModel):
    """A kit: which piece each note number is."""

    name: str = Field(default="", description="how reports call the kit (as the file, where it is not given)")
    based_on: Literal["General MIDI", "nothing"] = Field(
        default="General MIDI", description="what holds for notes that are not named here"
    )
    notes: dict[NoteNumber, PieceName] = Field(
        min_length=1, description="note number: piece, such as `38: snare` or `22: closed hat`"
    )


def read_kit(path: str | Path) -> Kit:
    """Read the kit file at *path* (empty = General MIDI); raise HandgrooveError with all that is wrong in it."""
    if not path:
        return GENERAL_MIDI
    file = read_yaml(path, KitFile)
    name = file.name or Path(path).stem
    return Kit(name, file.notes) if file.based_on == "nothing" else GENERAL_MIDI.with_notes(name, file.notes)
