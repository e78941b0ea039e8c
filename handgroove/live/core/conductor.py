"""The conductor: tempo and position, from the internal clock or a followed one; count-in, tap, and clock out."""

from __future__ import annotations

from dataclasses import replace

from handgroove.live.core.follow import ClockEvent, ClockFollower
from handgroove.live.core.messages import CONTINUE, SONG_POSITION, START, Message, note_off, note_on
from handgroove.live.core.stage import Out, Setup, Sink
from handgroove.live.core.tempo import START_LEAD_SEC, TICKS_PER_CLOCK, ClockSender, TapTempo, Transport
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline, bpm_to_quarter_us

CLICK_CHANNEL = 9
CLICK_HIGH, CLICK_LOW = 76, 77  # General MIDI's high and low wood block
_NEW_TEMPO_SHARE = 0.002  # smaller changes of a followed clock are its jitter


class Conductor:
    """Knows where the music is. *playing* says whether the song runs (hits are answered anyway)."""

    def __init__(self, setup: Setup, timeline: Timeline, sec: float) -> None:
        self.transport = Transport(setup.tempo_bpm, sec)
        self.timeline = self._timed(timeline, setup.tempo_bpm)
        self.follower = ClockFollower() if setup.follow else None
        self.playing = False
        self.is_lost = False
        self._has_moved = False
        self._sender = ClockSender()
        self._sends = setup.send_clock
        self._tap = TapTempo()
        self._count_in_bars = setup.count_in_bars
        self._click_tick: int | None = None
        self._click_off: Message | None = None
        self._start_due = False

    @property
    def tempo_bpm(self) -> float:
        """Return the tempo in quarter notes a minute."""
        return self.transport.tempo_bpm

    @property
    def counting_in(self) -> bool:
        """Return whether the count-in runs."""
        return self._click_tick is not None

    @property
    def resume_tick(self) -> int:
        """Return the tick from which a followed song goes on: a clock's own, since arrival times jitter."""
        follower = self.follower
        if follower is None:
            return 0
        return follower.song_tick + (TICKS_PER_CLOCK if self._has_moved else 0)

    def tick_at(self, sec: float) -> int:
        """Return the position at *sec*, in whole ticks."""
        return round(self.transport.tick_at(sec))

    def start(self, sec: float) -> list[Out]:
        """Start the song from its top, after the count-in; return what to send."""
        metre = self.timeline.metres[0].metre
        count_ticks = self._count_in_bars * metre.bar_ticks
        lead_sec = START_LEAD_SEC if self._sends else 0.0
        self.transport.move_to(-count_ticks, sec + lead_sec)
        self.playing = True
        self._click_tick = -count_ticks if count_ticks else None
        if self._sends:
            self._sender.arm(0)
            self._start_due = True
        return self.due(sec)

    def stop(self) -> list[Out]:
        """Stop the song; return what to send."""
        out = self._unclick()
        self.playing = False
        self._click_tick = None
        self._start_due = False
        if self._sends:
            out += [(Sink.CLOCK, message) for message in self._sender.stop()]
        return out

    def set_tempo(self, tempo_bpm: float, sec: float) -> bool:
        """Take a new tempo, unless a clock is followed; return whether it was taken."""
        if self.follower is not None:
            return False
        self.transport.set_tempo(tempo_bpm, sec)
        self.timeline = self._timed(self.timeline, self.transport.tempo_bpm)
        return True

    def tap(self, sec: float) -> float | None:
        """Take a tap; return the new tempo when it is known and no clock is followed."""
        tempo_bpm = self._tap.tap(sec)
        if tempo_bpm is None or not self.set_tempo(tempo_bpm, sec):
            return None
        if not self.playing:  # taps are beats; a song that runs keeps its place and only changes its pace
            beat = self.timeline.metres[-1].metre.beat_ticks
            self.transport.move_to(round(self.transport.tick_at(sec) / beat) * beat, sec)
        return tempo_bpm

    def set_metre(self, metre: Metre, from_tick: int) -> None:
        """Go on in *metre* from the bar line at *from_tick*."""
        earlier = tuple(change for change in self.timeline.metres if change.tick < from_tick)
        if not earlier:
            self.timeline = replace(self.timeline, metres=(MetreChange(0, metre),))
        elif earlier[-1].metre != metre:
            self.timeline = replace(self.timeline, metres=(*earlier, MetreChange(from_tick, metre)))

    def take(self, message: Message, sec: float) -> tuple[ClockEvent, list[Out]]:
        """Take a message of the clock that is followed; return what it did and what to send."""
        follower = self.follower
        if follower is None:
            return ClockEvent.NONE, []
        event = follower.take(message, sec)
        self._has_moved = event is ClockEvent.MOVED
        out: list[Out] = []
        if event is ClockEvent.CLOCK or event is ClockEvent.STARTED:
            self._lie_on_clock(follower, event)
        elif event is ClockEvent.STOPPED:
            out = self.stop()
        elif event is ClockEvent.MOVED and self.playing and message[0] != START:
            self.transport.move_to(follower.song_tick, follower.fit_sec)
        if self._sends and message[0] in (START, CONTINUE, SONG_POSITION):  # passed on as it is said
            out.append((Sink.CLOCK, message))
            if not follower.playing:
                self._sender.arm(follower.song_tick)
        self.is_lost = False
        return event, out

    def _lie_on_clock(self, follower: ClockFollower, event: ClockEvent) -> None:
        """Let position and tempo be the followed clock's."""
        tempo_bpm = follower.tempo_bpm
        if event is ClockEvent.STARTED:
            self.playing = True
            if self._sends:
                self._sender.run()
        if tempo_bpm is None:
            if event is ClockEvent.STARTED:
                self.transport.move_to(follower.song_tick, follower.fit_sec)
            return
        if follower.playing:
            self.transport.lie_on(follower.song_tick, follower.fit_sec, follower.period_sec / 40)
        else:
            self.transport.set_tempo(tempo_bpm, follower.fit_sec)
        if abs(tempo_bpm / self.timeline.tempo_at(0) - 1) > _NEW_TEMPO_SHARE:
            self.timeline = self._timed(self.timeline, tempo_bpm)

    def next_sec(self) -> float | None:
        """Return when `due` is wanted next, or None."""
        transport = self.transport
        if self._start_due:
            found: float | None = transport.sec_at(0) - START_LEAD_SEC
        else:
            found = self._sender.next_sec(transport) if self._sends else None
        if self._click_tick is not None:
            click_sec = self.transport.sec_at(self._click_tick)
            found = click_sec if found is None else min(found, click_sec)
        return found

    def due(self, sec: float) -> list[Out]:
        """Return the clicks and clocks that are due by *sec*."""
        out: list[Out] = []
        if self._click_tick is not None and self.transport.sec_at(self._click_tick) <= sec:
            out += self._click()
        if self._start_due and self.transport.sec_at(0) - START_LEAD_SEC <= sec:
            self._start_due = False
            out += [(Sink.CLOCK, message) for message in self._sender.begin()]
        out += [(Sink.CLOCK, message) for message in self._sender.due(self.transport, sec)]
        return out

    def _click(self) -> list[Out]:
        """Return the count-in's click that is due; the one at the song's first tick only ends it."""
        out = self._unclick()
        tick = self._click_tick
        if tick is None or tick >= 0:
            self._click_tick = None
            return out
        metre = self.timeline.metres[0].metre
        pitch = CLICK_HIGH if tick % metre.bar_ticks == 0 else CLICK_LOW
        self._click_tick = tick + metre.beat_ticks
        self._click_off = note_off(CLICK_CHANNEL, pitch)
        return [*out, (Sink.CLICK, note_on(CLICK_CHANNEL, pitch, 100))]

    def _unclick(self) -> list[Out]:
        out: list[Out] = [] if self._click_off is None else [(Sink.CLICK, self._click_off)]
        self._click_off = None
        return out

    def check_lost(self, sec: float) -> bool:
        """Return True once when the followed clock has gone quiet without saying stop."""
        if self.follower is None or self.is_lost or not self.follower.is_lost(sec):
            return False
        self.is_lost = True
        return True

    @staticmethod
    def _timed(timeline: Timeline, tempo_bpm: float) -> Timeline:
        return replace(timeline, tempos=(TempoChange(0, bpm_to_quarter_us(tempo_bpm)),))
