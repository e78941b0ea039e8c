"""Why something can't be played, in a musician's words."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.model import HandModel, Obstacle
from handgroove.hands.wishes import Wish

NUMBERS = [
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
]
NUMBERS += ["thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"]
FINGERS = ("", "thumb", "second finger", "third finger", "fourth finger", "little finger")
REACHES = {
    11: "a seventh",
    12: "an octave",
    13: "a small ninth",
    14: "a ninth",
    15: "a small tenth",
    16: "a tenth",
}


def spell(number: int) -> str:
    """Return a small *number* as a word."""
    return NUMBERS[number] if 0 <= number < len(NUMBERS) else str(number)


def format_reach(semitones: int) -> str:
    """Return a reach as pianists say it."""
    return REACHES.get(semitones, f"{spell(semitones)} semitones")


def format_rate(sec: float) -> str:
    """Return how often a second something comes that comes every *sec* seconds."""
    return f"{spell(max(1, round(1 / sec)))} a second" if sec > 0 else "at once"


def explain(  # noqa: PLR0911 - one return for each obstacle
    obstacle: Obstacle, wishes: Sequence[Wish], index: int, count: int, model: HandModel
) -> str:
    """Return what keeps a hand from the *count* wishes from *index* on, *obstacle* being the first that was met."""
    wish = wishes[index]
    before = wishes[index - 1] if index else None
    since = wish.sec - before.sec if before is not None else 0.0
    views = [w.view for w in wishes[index : index + count]]
    if count > 5:
        return f"{spell(count)} notes at once, and a hand has five fingers"
    if count > 1 and max(views) - min(views) > model.size.most:
        return f"{spell(max(views) - min(views))} semitones is over your reach of {format_reach(model.size.most)}"
    if obstacle in (Obstacle.REPEAT, Obstacle.ROCK, Obstacle.KEY):
        return _explain_repeat(obstacle, wishes, index, model)
    if obstacle is Obstacle.RUN:
        return f"{format_rate(since)} is more than a hand can run"
    if obstacle is Obstacle.LEAP and before is not None:
        distance = abs(wish.view - before.view)
        return f"{spell(distance)} semitones in {since:.2f} of a second is too far a jump"
    if obstacle in (Obstacle.HELD, Obstacle.ORDER, Obstacle.REACH) and count > 1:
        return "no five fingers lie that way"
    return f"too many notes for a hand that reaches {format_reach(model.size.most)}"


def _explain_repeat(obstacle: Obstacle, wishes: Sequence[Wish], index: int, model: HandModel) -> str:
    """Return how often the stroke came in a row, how fast, and for what that's too fast."""
    wish, back, row, first = wishes[index], index - 1, 1, wishes[index].sec
    while back >= 0 and row < 6 and first - wishes[back].sec < 0.5:
        if wishes[back].view == wish.view:
            row, first = row + 1, wishes[back].sec
        back -= 1
    before = wishes[index - 1].sec if index else wish.sec
    gap = (wish.sec - first) / (row - 1) if row > 1 else wish.sec - before
    rate = format_rate(gap)
    ordinal = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}.get(row, "another")
    opening = (
        f"{ordinal} {wish.role} in a row at {rate}" if row > 1 else f"{wish.role} after {gap:.2f} of a second"
    )
    if obstacle is Obstacle.KEY:
        return f"{opening}: no key can be struck that often with one hand"
    finger = FINGERS[wish.finger] if wish.finger else "finger"
    if obstacle is Obstacle.ROCK:
        return f"{opening}: a hand can't rock that fast"
    return f"{opening}: one {finger} can't"
