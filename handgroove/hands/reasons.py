"""Why something can't be played, in a musician's words."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.hand_model import HandModel, Obstacle
from handgroove.hands.wishes import Wish
from handgroove.strike import Role

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
    9: "a major sixth",
    10: "a minor seventh",
    11: "a major seventh",
    12: "an octave",
    13: "a minor ninth",
    14: "a ninth",
    15: "a minor tenth",
    16: "a tenth",
    17: "an eleventh",
    18: "an augmented eleventh",
    19: "a twelfth",
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


_ROLE_NAMES = {
    Role.COMPING: "chord",
    Role.COLOUR: "colour note",
    Role.MELODY: "melody note",
    Role.BASS: "bass note",
}


def name_role(role: Role) -> str:
    """Return what a player calls a note of *role*."""
    return _ROLE_NAMES.get(role, str(role))


def explain(  # noqa: PLR0911 - one return for each obstacle
    obstacle: Obstacle, wishes: Sequence[Wish], index: int, count: int, model: HandModel
) -> str:
    """Return what keeps a hand from the *count* wishes from *index* on, *obstacle* being the first that was met."""
    views = [w.view for w in wishes[index : index + count]]
    if count > 5:
        return f"{spell(count)} notes at once, and a hand has five fingers"
    if count > 1 and max(views) - min(views) > model.size.most:
        return f"{spell(max(views) - min(views))} semitones is over your reach of {format_reach(model.size.most)}"
    if obstacle in (Obstacle.REPEAT, Obstacle.ROCK, Obstacle.KEY):
        return _explain_repeat(obstacle, wishes, index, count)
    if obstacle is Obstacle.RUN and index:
        since = wishes[index].sec - wishes[index - 1].sec
        return f"{format_rate(since)} is more than a hand can run"
    if obstacle is Obstacle.LEAP:
        return _explain_leap(wishes, index, count, model)
    if obstacle in (Obstacle.HELD, Obstacle.ORDER, Obstacle.REACH) and count > 1:
        return "no five fingers lie that way"
    return f"more notes than a hand that reaches {format_reach(model.size.most)} can hold"


def _explain_leap(wishes: Sequence[Wish], index: int, count: int, model: HandModel) -> str:
    """Return the jump of these wishes that leaves the least time, as a distance and a time."""
    worst, text = -1e9, "too far a jump"
    for wish in wishes[index : index + count]:
        for before in reversed(wishes[max(0, index - 8) : index]):
            distance, since = abs(wish.view - before.view), wish.sec - before.sec
            lacking = model.jump_sec(distance) - since
            if distance and lacking > worst:
                worst, text = (
                    lacking,
                    f"{spell(distance)} semitones in {since:.2f} of a second is too far a jump",
                )
    return text


_ORDINALS = ("", "", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def _explain_repeat(obstacle: Obstacle, wishes: Sequence[Wish], index: int, count: int) -> str:
    """Return how often a stroke came in a row, how fast, and for what that's too fast."""
    wish, row = wishes[index], [wishes[index].sec]
    for candidate in wishes[index : index + count]:
        found = _row(wishes, index, candidate)
        if len(found) > 1 and (len(row) < 2 or found[0] - found[1] < row[0] - row[1]):
            wish, row = candidate, found
    name = name_role(wish.role)
    if len(row) > 1:
        gap = row[0] - row[1]
        ordinal = _ORDINALS[len(row)] if len(row) < len(_ORDINALS) else "another"
        opening = f"{ordinal} {name} in a row at {format_rate(gap)}"
    else:
        since = wish.sec - wishes[index - 1].sec if index else 0.0
        opening = f"{name} {since:.2f} of a second after another stroke"
    if obstacle is Obstacle.KEY:
        return f"{opening}: one hand can't strike a key that often"
    if obstacle is Obstacle.ROCK:
        return f"{opening}: fingers can't take turns that fast"
    return f"{opening}: one {FINGERS[wish.finger] if wish.finger else 'finger'} can't"


def _row(wishes: Sequence[Wish], index: int, wish: Wish) -> list[float]:
    """Return when the key of *wish* was struck in a row up to it, latest first: no gap over a third of a second."""
    row = [wish.sec]
    for before in reversed(wishes[max(0, index - 24) : index]):
        if row[-1] - before.sec > 1 / 3:
            break
        if before.view == wish.view:
            row.append(before.sec)
    return row
