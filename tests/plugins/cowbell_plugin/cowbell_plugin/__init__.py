"""A translator by somebody else: every cowbell stroke plays the chord's top note an octave up."""

from __future__ import annotations

from typing import ClassVar

from handgroove.groove.hits import Hit
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike


class CowbellTopSettings(Settings):
    """How far above the chord's top note it rings."""

    octaves: int = 1


class CowbellTop:
    """Cowbell to a high single note."""

    name: ClassVar[str] = "cowbell top"
    summary: ClassVar[str] = "cowbell: the chord's top note, an octave up"
    settings_model: ClassVar[type[Settings]] = CowbellTopSettings

    def __init__(self, settings: CowbellTopSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return one note, or nothing where no chord sounds."""
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        pitch = moment.voicing[-1] + 12 * self.settings.octaves
        return [Strike((pitch,), hit.velocity // 2, Hand.RIGHT, Role.COLOUR, 240)]
