"""The finish: what hands play becomes the part, whoever asked for it; the drummer's lean is put back here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.desk.ends import find_pushes, set_ends
from handgroove.desk.pedal import plan_pedal
from handgroove.groove.hits import Groove, Marker
from handgroove.groove.meant.reading import Reading, move_hits
from handgroove.hands.player import Player
from handgroove.hands.settle import Settled, settle
from handgroove.harmony.chart import Harmony
from handgroove.harmony.voice.voicing_settings import PedalMode
from handgroove.part import Note, Omission, Part, PedalMove
from handgroove.strike import Asked, Hand, Role


@dataclass(frozen=True)
class Song:
    """What a part is finished from: the *reading* of its drums, its *harmony* (written ticks) and who plays it.

    *silences* are the ticks (lean taken off), in order, from which nothing sounds on, beside those of the harmony.
    """

    reading: Reading
    harmony: Harmony
    player: Player
    silences: tuple[int, ...] = ()

    @property
    def groove(self) -> Groove:
        """Return the groove, the drummer's lean taken off."""
        return self.reading.groove

    def settle(
        self,
        asked: Sequence[Asked],
        *,
        keep: Sequence[int] = (),
        leave_out: Sequence[int] = (),
        free: Sequence[Role] = (),
    ) -> Settled:
        """Return what the player can play of *asked*, each note ended where the music lets it go.

        *keep* and *leave_out* are indices of the groove's hits; *free* are roles that chords don't end.
        """
        end = self.reading.played_at(self.groove.timeline.end_tick)
        ended = set_ends(asked, self.harmony, self.reading.played_at, end, free, self.silences)
        return settle(ended, self.player, self.groove.timeline, keep=keep, leave_out=leave_out)

    def finish(
        self,
        notes: Sequence[Note],
        omissions: Sequence[Omission],
        *,
        title: str,
        pedal: PedalMode,
        sections: tuple[Marker, ...] = (),
        messages: Sequence[str] = (),
        pattern_name: str = "",
        figures: tuple[str, ...] = (),
    ) -> Part:
        """Return the part of settled *notes*, with its pedal, where the drummer plays it."""
        lean, timeline = self.reading.lean_ticks, self.groove.timeline
        role = Role.KICK
        kicks = ((note.meant, note.tick, note.pitch) for note in notes if note.role is role)
        pushed = {
            self.harmony.spans[index].start_tick: tick
            for index, (_, tick) in find_pushes(kicks, self.harmony).items()
        }
        moves = plan_pedal(
            notes,
            self.harmony,
            timeline,
            pedal,
            lambda place: pushed[place] if place in pushed else self.reading.played_at(place),
        )
        return Part(
            title=title,
            notes=tuple(_later(note, lean) for note in notes),
            omissions=tuple(sorted(omissions, key=lambda item: item.tick)),
            timeline=timeline,
            harmony=self.harmony,
            groove=move_hits(self.groove, lean),
            places=self.reading.places,
            pedal=tuple(PedalMove(max(0, move.tick + lean), move.down, move.tick) for move in moves),
            sections=sections,
            messages=(*messages, *_rests(notes)),
            pattern_name=pattern_name,
            player_name=self.player.name,
            figures=figures,
        )


def _later(note: Note, by_ticks: int) -> Note:
    """Return *note* played *by_ticks* later; nothing begins before the file does."""
    tick = max(0, note.tick + by_ticks)
    if tick == note.tick and note.place is not None:
        return note
    return Note(  # written out, since `replace` takes four times as long
        tick, note.length_ticks, note.pitch, note.velocity, note.hand, note.role, note.finger,
        note.hits, note.weight, note.grace, note.meant,
    )  # fmt: skip


def _rests(notes: Sequence[Note]) -> list[str]:
    """Return a word about a right hand that has nothing at all, since the chords are then not heard."""
    if not notes or any(note.hand is Hand.RIGHT for note in notes):
        return []
    return [
        "the right hand rests throughout: the pattern gives it none of this groove's drums "
        "(one of your own can: take: snare, use: comping)"
    ]
