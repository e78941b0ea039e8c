"""The engine: messages and time in, messages out. It has no clock, no ports and no threads.

`take` is given each message with the second it arrived at, `advance` is given the time that has come, and both
return what is to be sent at once. `next_sec` tells when `advance` is wanted next. What is planned is carried out in
order of time, each thing at its own second, however late `advance` is called.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.groove.hits import Hit
from handgroove.hands.guard import Guard
from handgroove.live.core.accounts import Accounts
from handgroove.live.core.changes import Action, StageChange
from handgroove.live.core.conductor import Conductor
from handgroove.live.core.drummer import Drummer
from handgroove.live.core.follow import ClockEvent
from handgroove.live.core.held_keys import Keys
from handgroove.live.core.ledger import Ledger
from handgroove.live.core.live_placing import LivePlacing
from handgroove.live.core.loops import Playable
from handgroove.live.core.messages import (
    ACTIVE_SENSING,
    CLOCK,
    SENSING_LOST_SEC,
    SONG_POSITION,
    START,
    SYSEX,
    Message,
    is_note_on,
    is_whole,
)
from handgroove.live.core.own_time import OwnTime
from handgroove.live.core.programme import Programme
from handgroove.live.core.stage import Bindings, ChordEar, NoBindings, Out, Setup, Sink, Source
from handgroove.live.core.voices import Later, Voices
from handgroove.strike import Asked

TOO_LATE_SEC = 0.25  # the machine stood still (a closed lid): what was due before is not made up for
HITS_A_SECOND = 500  # no drummer comes near; a flood must not keep the processor from ending notes
_HIT_BURST = 100


class Engine:
    """Plays. Made once for a session, at *sec*; see the module for how it is driven."""

    def __init__(
        self,
        setup: Setup,
        patterns: Sequence[Playable],
        placing: LivePlacing,
        guard: Guard,
        sec: float,
        *,
        ear: ChordEar | None = None,
        bindings: Bindings | None = None,
    ) -> None:
        self.setup = setup
        self.accounts = Accounts()
        self.conductor = Conductor(setup, patterns[0].timeline, sec)
        self.ledger = Ledger()
        self.voices = Voices(self.ledger, guard, self.conductor.transport, setup.channel)
        self.voices.volume = setup.volume
        self.voices.transpose = setup.transpose
        self.programme = Programme(setup, patterns, placing, self.conductor)
        self.placing = placing
        self.keys = Keys(ear, placing, self.ledger, thru=setup.thru)
        self._bindings = bindings or NoBindings()
        self._sensing: dict[Source, float] = {}
        self._hit_count = 0
        self.starts = 0  # how often the song has been started
        self._drummer = Drummer(self.conductor, self.programme)
        self._own_time = OwnTime(self.conductor, self.programme, self._drummer)
        self._allowance = float(_HIT_BURST)
        self._allowance_sec = sec
        self._now_sec = sec

    # ---- messages in -------------------------------------------------------------------------------------

    def take(self, source: Source, message: Message, sec: float) -> list[Out]:
        """Take a *message* that arrived at *sec* from *source*; return what to send, what was due before it first."""
        out = self.advance(sec)
        if not is_whole(message):
            self.accounts.ignored += 1
            return out
        if message[0] == ACTIVE_SENSING or source in self._sensing:
            self._sensing[source] = sec + SENSING_LOST_SEC
        changes = self._bindings.find(source, message)
        if changes is not None:
            for change in changes:
                out += self.change(change, sec)
        elif message[0] >= SYSEX:
            out += self._system(source, message, sec)
        elif source is Source.DRUMS:
            if is_note_on(message):
                out += self._drum(message, sec)
        elif source is Source.KEYS:
            out += self._piano(self.keys.take(message, sec))
        else:
            self.accounts.ignored += 1
        return out

    def _drum(self, message: Message, sec: float) -> list[Out]:
        wanted = self.setup.drum_channel
        if wanted is not None and message[0] & 0x0F != wanted:
            self.accounts.ignored += 1
            return []
        self.accounts.hits += 1
        piece = self.setup.kit.pieces.get(message[1])
        if piece is None:
            self.accounts.leave_out(f"note {message[1]}", "it is not in the kit (describe yours with --kit)")
            return []
        if not self._is_allowed(sec):
            self.accounts.leave_out(piece.value, "hits came faster than anyone can drum")
            return []
        tick = self._drummer.tick_at(sec)
        return self._hit(Hit(tick, piece, message[2], message[1]), self._drummer.place(tick), sec)

    def _is_allowed(self, sec: float) -> bool:
        """Return whether one more hit fits into what may come in a second."""
        passed_sec = max(0.0, sec - self._allowance_sec)
        self._allowance = min(float(_HIT_BURST), self._allowance + passed_sec * HITS_A_SECOND)
        self._allowance_sec = sec
        if self._allowance < 1:
            return False
        self._allowance -= 1
        return True

    def _system(self, source: Source, message: Message, sec: float) -> list[Out]:
        """Take a system message: clock from the clock's port, the rest passed on or ignored as set."""
        if CLOCK <= message[0] <= 0xFC or message[0] == SONG_POSITION:
            if source is Source.CLOCK:
                return self._clock(message, sec)
        elif self.setup.pass_other and message[0] != ACTIVE_SENSING:
            return [(Sink.PIANO, message)]
        self.accounts.ignored += 1
        return []

    def _clock(self, message: Message, sec: float) -> list[Out]:
        event, out = self.conductor.take(message, sec)
        if event is ClockEvent.STARTED:
            self._begin(self.conductor.resume_tick)
            return out + self.advance(sec)
        if event is ClockEvent.STOPPED:
            return self._stop_playing("the clock stopped") + out
        if event is ClockEvent.MOVED and message[0] != START and self.conductor.playing:
            self._begin(self.conductor.resume_tick)
        return out

    # ---- hits and strikes --------------------------------------------------------------------------------

    def _hit(self, hit: Hit, place: int, sec: float) -> list[Out]:
        """Answer one hit that means the written tick *place*; *sec* is when it was struck.

        Changes that wait for a line which the hit means, though it came early, are taken before it.
        """
        self._drummer.go_on(hit.tick)
        out: list[Out] = []
        while (change := self.programme.take_change(sec, place)) is not None:
            out += self._carry_out(change, sec)
        self.keys.read(place, sec)
        if self._drummer.is_same_movement(hit, sec):
            self.accounts.leave_out(hit.piece.value, "part of a flam, drag or roll that is answered already")
            return out
        return out + self._answer(hit, place, sec)

    def _answer(self, hit: Hit, place: int, sec: float) -> list[Out]:
        chain = self.programme.chain
        chain.timeline = self.conductor.timeline
        owner = chain.taker(hit.piece)
        taken = chain.take(self._hit_count, hit, place)
        self._hit_count += 1
        out = self._fault() if chain.faults else []
        mine = [asked for asked in taken.asked if asked.strike.hand in self.programme.hands]
        if taken.reason:
            self.accounts.leave_out(hit.piece.value, taken.reason)
        elif taken.asked and not mine:
            self.accounts.leave_out(hit.piece.value, "that hand is left to the player")
        else:
            self.accounts.answered += 1
        for asked in mine:
            if asked.tick > hit.tick:
                later_sec = sec + self.conductor.transport.ticks_to_sec(asked.tick - hit.tick)
                self.voices.schedule.put(later_sec, Later(asked, owner))
            else:
                out += self._strike(asked, sec, owner)
        return out

    def _play_own(self, sec: float) -> list[Out]:
        """Strike what is the hands' own at the place that is due at *sec*."""
        taken = self._own_time.take(sec)
        out = self._fault() if self.programme.chain.faults else []
        if self._now_sec - sec <= TOO_LATE_SEC:
            for asked in taken.asked:
                if asked.strike.hand in self.programme.hands:
                    out += self._strike(asked, sec, "")
        return out

    def _strike(self, asked: Asked, sec: float, owner: str) -> list[Out]:
        messages, omissions = self.voices.strike(asked, sec, owner)
        for omission in omissions:
            self.accounts.change(omission.subject, omission.change, omission.reason)
        return self._piano(messages)

    def _fault(self) -> list[Out]:
        """End the notes of translators that have just failed, and say so."""
        out: list[Out] = []
        for fault in self.programme.bypass_faults():
            self.accounts.tell(f"{fault.text}; the rest plays on")
            out += self._piano(self.voices.end_owner(fault.name))
        return out

    @staticmethod
    def _piano(messages: Sequence[Message]) -> list[Out]:
        return [(Sink.PIANO, message) for message in messages]

    # ---- time --------------------------------------------------------------------------------------------

    def next_sec(self) -> float | None:
        """Return when `advance` is wanted next, or None."""
        soonest = self.voices.schedule.next_sec()
        for sec in (
            self.conductor.next_sec(),
            self.programme.next_sec(),
            self.keys.next_sec(),
            self._own_time.next_sec(),
        ):
            if sec is not None and (soonest is None or sec < soonest):
                soonest = sec
        if self._sensing:
            lost_sec = min(self._sensing.values())
            soonest = lost_sec if soonest is None else min(soonest, lost_sec)
        return soonest

    def advance(self, sec: float) -> list[Out]:
        """Do all that is due by *sec*, in order of time; return what to send."""
        self._now_sec = self.accounts.now_sec = max(self._now_sec, sec)
        out: list[Out] = []
        while (due_sec := self.next_sec()) is not None and due_sec <= sec:
            out += self._do(due_sec)
        if self.conductor.check_lost(sec):
            self.accounts.tell(f"clock in has gone quiet; going on at {self.conductor.tempo_bpm:.0f}")
        return out

    def _do(self, sec: float) -> list[Out]:
        """Do what is due at *sec*: notes end before others begin, and changes come before the hits they govern."""
        schedule = self.voices.schedule
        if schedule.next_sec() == sec:
            item = schedule.take()
            if isinstance(item, Later):
                return self._strike(item.asked, sec, item.owner)
            return self._piano(self.voices.end(item, sec))
        if self.conductor.next_sec() == sec:
            return self.conductor.due(sec)
        if self.keys.next_sec() == sec:
            self.keys.read(self._drummer.nearest(sec), sec)
            return []
        if self._sensing and min(self._sensing.values()) == sec:
            return self._lost_line(sec)
        return self._play_own(sec) if self._own_time.next_sec() == sec else self._programme(sec)

    def _programme(self, sec: float) -> list[Out]:
        change = self.programme.take_change(sec)
        if change is not None:
            return self._carry_out(change, sec)
        if self.programme.is_over():
            return self._stop(sec)
        hit, place = self.programme.cursor.take()
        self.accounts.hits += 1
        if self._now_sec - sec > TOO_LATE_SEC:
            self.accounts.leave_out(hit.piece.value, "the machine stood still")
            return []
        return self._hit(hit, place, sec)

    def _lost_line(self, sec: float) -> list[Out]:
        """End what came over a line whose active sensing has stopped."""
        source = next(source for source, due in self._sensing.items() if due == sec)
        del self._sensing[source]
        self.accounts.tell(f"{source.value}: the cable is out, or the instrument off")
        return self.lose(source)

    def lose(self, source: Source) -> list[Out]:
        """End what *source* left sounding: its port has gone. Return what to send."""
        self._sensing.pop(source, None)
        return self._piano(self.keys.lose()) if source is Source.KEYS else []

    # ---- changes -----------------------------------------------------------------------------------------

    def change(self, change: StageChange, sec: float) -> list[Out]:
        """Take a *change* that is asked for at *sec*: at once, or at the beat or bar that it waits for."""
        problem = self.programme.plan(change, sec, self._drummer.nearest(sec))
        if problem:
            self.accounts.tell(problem)
        now = self.programme.take_change(sec)
        return [] if now is None else self._carry_out(now, sec)

    def _carry_out(self, change: StageChange, sec: float) -> list[Out]:
        action = change.action
        if action is Action.NOTES_OFF:
            return self.end_all()
        if action is Action.START:
            return self.start(sec)
        if action is Action.STOP:
            return self._stop(sec)
        if action is Action.TAP:
            if self.conductor.follower is not None:
                self.accounts.tell("tempo comes from clock in: taps do nothing")
            elif self.conductor.tap(sec) is not None and not self.conductor.playing:
                self._drummer.forget()  # the beat has moved to where the taps fall
        elif action is Action.TEMPO:
            if not self.conductor.set_tempo(float(change.value), sec):
                self.accounts.tell("tempo comes from clock in")
        elif action is Action.VOLUME:
            self.voices.volume = float(change.value)
        elif action is Action.TRANSPOSE:
            self.voices.transpose = int(change.value)
        else:
            self.programme.carry_out(change)
        return []

    def start(self, sec: float) -> list[Out]:
        """Start the song from the top, unless a followed clock says when; return what to send."""
        if self.conductor.follower is not None:
            self.accounts.tell("waiting for start on clock in")
            return []
        out = self._stop(sec) if self.conductor.playing else []
        out += self.conductor.start(sec)
        self._begin(0)
        return out + self.advance(sec)

    def _begin(self, tick: int) -> None:
        """Go on from *tick*: the position has jumped there."""
        self.starts += 1
        self._drummer.forget()
        self.programme.start(tick)
        self._own_time.start(max(0, tick))

    def _stop(self, sec: float) -> list[Out]:
        return self._stop_playing("stopped") + self.conductor.stop()

    def _stop_playing(self, why: str) -> list[Out]:
        """End the song's notes; what was planned is accounted for."""
        waiting = self.programme.stop()
        self._drummer.forget()
        for later in self.voices.planned():
            self.accounts.leave_out(later.asked.strike.role.value, why)
        out = self._piano(self.voices.end_all())
        for change in waiting:
            out += self._carry_out(change, self._now_sec)
        return out

    def end_all(self) -> list[Out]:
        """End every note and release every pedal; the song goes on. Return what to send."""
        for later in self.voices.planned():
            self.accounts.leave_out(later.asked.strike.role.value, "all notes off")
        return self._piano(self.voices.end_all())

    def close(self) -> list[Out]:
        """End everything; return what to send."""
        return self._stop_playing("the end") + self.conductor.stop()
