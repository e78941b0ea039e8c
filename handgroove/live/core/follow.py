"""Following MIDI clock: 24 clocks to the quarter, start, stop, continue and song position.

Source: MIDI 1.0 Detailed Specification 4.2.1 (MIDI Manufacturers Association, 1996), pages 27 to 32. Clocks arrive
with a millisecond of jitter and more; position and tempo come from a straight line fitted by least squares
through the last clocks (four beats of them). When the newest clocks leave that line, the tempo has changed and the
line starts anew with them. A clock that lies nearer to the place before or after the expected one was doubled
or dropped on the way, unless the following ones agree with it: then that is the new tempo.
"""

from __future__ import annotations

from collections import deque
from enum import StrEnum
from math import sqrt

from handgroove.live.core.messages import (
    CLOCK,
    CLOCKS_PER_MIDI_BEAT,
    CLOCKS_PER_QUARTER,
    CONTINUE,
    SONG_POSITION,
    START,
    STOP,
    Message,
)
from handgroove.live.core.tempo import TEMPO_RANGE_BPM, TICKS_PER_CLOCK

_LINE_CLOCKS = 4 * CLOCKS_PER_QUARTER
_NEWEST = 8
_SURE_CLOCKS = 6  # so many clocks make a line that doubled and dropped ones can be told by
_LEAST_NOISE_SEC = 0.0003
_DEVIATIONS = 4.5  # how many standard errors make a change of tempo
_AGREEING = 4  # so many intervals in a row outvote the line
_AGREE_SHARE = 0.15
_AGREE_SEC = 0.004  # jitter of a millisecond makes intervals differ by up to this
_LOST_SEC = 0.4
_PERIOD_RANGE_SEC = tuple(60 / (bpm * CLOCKS_PER_QUARTER) for bpm in reversed(TEMPO_RANGE_BPM))


class ClockEvent(StrEnum):
    """What a message of the clock line did."""

    NONE = "nothing"
    STARTED = "started"
    STOPPED = "stopped"
    MOVED = "moved"
    CLOCK = "clock"


class ClockFollower:
    """Follows a clock line. *index* counts clocks on the line; the song's own count is `song_clock`."""

    def __init__(self) -> None:
        self.playing = False
        self._armed = False  # started or continued: the song goes on with the next clock
        self.song_clock = 0  # the clock that is played next (or, while playing, the one just played)
        self._index = 0
        self._line: deque[tuple[int, float]] = deque(maxlen=_LINE_CLOCKS)
        self._raw: deque[tuple[float, int]] = deque(maxlen=4 * _AGREEING)  # when, and counted as which
        self._faults_before = (0, 0)
        self.period_sec = 0.0  # between clocks; 0 while unknown
        self.fit_sec = 0.0  # when the last clock fell by the fitted line, jitter taken out
        self.dropped = 0
        self.doubled = 0

    @property
    def song_tick(self) -> int:
        """Return the position of the clock just played, in ticks."""
        return self.song_clock * TICKS_PER_CLOCK

    @property
    def tempo_bpm(self) -> float | None:
        """Return the tempo in quarter notes a minute, or None while unknown."""
        return 60.0 / (self.period_sec * CLOCKS_PER_QUARTER) if self.period_sec else None

    def is_lost(self, sec: float) -> bool:
        """Return whether clocks were coming and have stopped coming by *sec*, with no stop said."""
        return (
            self.playing and bool(self._raw) and sec - self._raw[-1][0] > max(_LOST_SEC, 12 * self.period_sec)
        )

    def take(self, message: Message, sec: float) -> ClockEvent:
        """Take one message that arrived at *sec*; return what it did."""
        status = message[0]
        if status == CLOCK:
            return self._clock(sec)
        if status == START:
            self.song_clock, self._armed, self.playing = 0, True, False
            return ClockEvent.MOVED
        if status == CONTINUE:
            self._armed = not self.playing
        elif status == STOP and (self.playing or self._armed):
            if self.playing:
                self.song_clock += 1  # where it goes on from: the first clock not yet played
            self.playing = self._armed = False
            return ClockEvent.STOPPED
        elif status == SONG_POSITION:
            # Not lawful while playing, but some send it at a loop's end: the next clock is the one it names.
            self.song_clock = (message[1] | message[2] << 7) * CLOCKS_PER_MIDI_BEAT - self.playing
            return ClockEvent.MOVED
        return ClockEvent.NONE

    def _clock(self, sec: float) -> ClockEvent:
        steps = self._count(sec)
        if steps == 0:
            return ClockEvent.NONE
        self._index += steps
        self._line.append((self._index, sec))
        self._fit()
        if self._armed:
            self._armed, self.playing = False, True
            return ClockEvent.STARTED
        if self.playing:
            self.song_clock += steps
        return ClockEvent.CLOCK

    def _count(self, sec: float) -> int:
        """Return how many clocks on from the last one this is: 1, 0 (doubled), or more (dropped between)."""
        before = self._raw[-1][0] if self._raw else sec
        steps = self._place(sec)
        if sec - before > max(_LOST_SEC, 12 * self.period_sec):
            self._restart([])  # the line was silent: it goes on where it stopped
            steps = 1
        elif steps != 1 and (newest := self._agreeing(sec)):
            # The last clocks were counted by the wrong measure: each was one step, whatever the line said.
            counted = self._index - newest[0][1]
            self._restart([at for at, _ in newest[1:]])
            if self.playing:
                self.song_clock += len(newest) - 1 - counted
            self.dropped, self.doubled = self._faults_before
            steps = 1
        elif steps == 0:
            self.doubled += 1
        else:
            self.dropped += steps - 1
        if steps == 1:
            self._faults_before = (self.dropped, self.doubled)
        self._raw.append((sec, self._index + steps))
        return steps

    def _place(self, sec: float) -> int:
        """Return how many clocks on from the last one *sec* lies by the line."""
        if len(self._line) < _SURE_CLOCKS:
            return 1
        late = (sec - self.fit_sec) / self.period_sec
        return 1 if 0.4 <= late <= 1.6 else max(0, round(late))

    def _agreeing(self, sec: float) -> list[tuple[float, int]]:
        """Return the newest raw clocks whose intervals agree with each other, if they are enough for a tempo."""
        raw = [*self._raw, (sec, self._index)]
        mean = (sec - raw[-_AGREEING - 1][0]) / _AGREEING if len(raw) > _AGREEING else 0.0
        if not _PERIOD_RANGE_SEC[0] <= mean <= _PERIOD_RANGE_SEC[1]:
            return []
        place = len(raw) - 1
        while place and abs(raw[place][0] - raw[place - 1][0] - mean) <= max(_AGREE_SEC, _AGREE_SHARE * mean):
            place -= 1
        return raw[place:-1] if len(raw) - 1 - place >= _AGREEING else []

    def _restart(self, newest: list[float]) -> None:
        """Forget the line but for the *newest* clocks, counted one by one up to the current number."""
        first = self._index - len(newest) + 1
        self._line = deque(((first + place, sec) for place, sec in enumerate(newest)), maxlen=_LINE_CLOCKS)

    def _fit(self) -> None:
        """Fit the line; if the newest clocks have left it, fit it to them alone."""
        if len(self._line) == 1:
            self.fit_sec = self._line[-1][1]
            return
        if len(self._line) >= 2 * _NEWEST and self._has_turned():
            self._line = deque(list(self._line)[-_NEWEST:], maxlen=_LINE_CLOCKS)
        at_sec, self.period_sec = _fit_line(list(self._line), self._index)
        self.fit_sec = at_sec

    def _has_turned(self) -> bool:
        points = list(self._line)
        older, newest = points[:-_NEWEST], points[-_NEWEST:]
        at_sec, period = _fit_line(older, self._index)
        misses = [sec - (at_sec + (index - self._index) * period) for index, sec in newest]
        spread = [sec - (at_sec + (index - self._index) * period) for index, sec in older]
        noise = max(_LEAST_NOISE_SEC, sqrt(sum(miss * miss for miss in spread) / len(spread)))
        # The older clocks' line is itself uncertain where it is drawn on: the fewer they are, the more.
        count = len(older)
        reach = count / 2 + _NEWEST / 2
        error = noise * sqrt(1 / _NEWEST + 1 / count + 12 * reach * reach / count**3)
        return abs(sum(misses) / _NEWEST) > _DEVIATIONS * error


def _fit_line(points: list[tuple[int, float]], index: int) -> tuple[float, float]:
    """Return when clock *index* falls and the seconds a clock, by least squares through (number, second)."""
    count = len(points)
    base_sec = points[-1][1]  # differences stay small, so that nothing is lost to rounding
    sum_x = sum_y = sum_xx = sum_xy = 0.0
    for number, sec in points:
        x, y = number - index, sec - base_sec
        sum_x += x
        sum_y += y
        sum_xx += x * x
        sum_xy += x * y
    slope = (count * sum_xy - sum_x * sum_y) / (count * sum_xx - sum_x * sum_x)
    return base_sec + (sum_y - slope * sum_x) / count, slope
