"""What goes first when hands are full, against what people do.

Source: Haki, Kotowski, Lee, Jordà (2023), "TapTamDrum", ISMIR: people who tap a drum pattern with two hands keep,
counted from the data set's takes, 92 % of snares, 84 % of kicks and 68 % of ghost notes: ghosts go first, then
kicks, snares last.
"""

from __future__ import annotations

import random

from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline


def busy_drumming(seed: int, bars: int) -> tuple[list[Asked], dict[int, str]]:
    """Return kicks, backbeats and ghosts in thirty-seconds, busier than a left hand, and what kind each hit is.

    They are asked as translators ask them: with the second finger's key for strokes too quick for one.
    """
    choose, asked, kinds = random.Random(seed), [], {}
    for step in range(bars * 32):
        tick = step * 120 + choose.randint(0, 12)
        backbeat = step % 16 == 8
        kind = "snare" if backbeat or choose.random() < 0.1 else choose.choice(["kick", "ghost", "ghost", ""])
        if not kind:
            continue
        kinds[step] = kind
        if kind == "kick":
            strike = Strike((36,), 95, Hand.LEFT, Role.KICK, 960, until_next=True, fingers=(5,), second=43)
        else:
            weight = 0.3 if kind == "ghost" else 1.0
            strike = Strike((48,), 90, Hand.LEFT, Role.SNARE, 200, fingers=(1,), weight=weight, second=47)
        asked.append(Asked(tick, strike, (step,)))
    return asked, kinds


def test_ghosts_go_first_and_at_least_as_much_is_kept() -> None:
    """In busy drumming at 150 ghosts lose most, and no kind loses more than it does to people who tap."""
    asked, kinds = busy_drumming(seed=7, bars=64)
    notes = settle(asked, Player(), Timeline.of(Metre(4, 4), 150, 64)).notes
    kept = {hit for note in notes for hit in note.hits}
    share = {}
    for kind in ("kick", "snare", "ghost"):
        hits = [hit for hit, own in kinds.items() if own == kind]
        share[kind] = sum(hit in kept for hit in hits) / len(hits)
    assert share["ghost"] < min(share["kick"], share["snare"])
    assert share["snare"] >= 0.92
    assert share["kick"] >= 0.84
