"""The main job: a groove, a chart, a pattern and a player become a piano part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from handgroove.desk.desk import Desk
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.groove.hits import Groove
from handgroove.groove.know.selection import Selection
from handgroove.hands.ease import Ease
from handgroove.hands.player import Player
from handgroove.harmony.chart import Chart
from handgroove.part import Part

if TYPE_CHECKING:
    from handgroove.harmony.chord import Key
    from handgroove.patterns import Pattern


def translate(  # noqa: PLR0913 (each is one thing that a musician may say)
    groove: Groove,
    chart: Chart | None = None,
    pattern: Pattern | None = None,
    player: Player | None = None,
    *,
    key: Key | None = None,
    level: Ease = Ease.AS_IS,
    keep: Sequence[Selection] = (),
    leave_out: Sequence[Selection] = (),
    figures: FigureSettings | None = DEFAULT_SETTINGS,
    picks: Mapping[str, int] | None = None,
) -> Part:
    """Return the piano part for *groove*.

    Without a *chart* one chord holds throughout (*key*'s own, or C major's), and the part's messages say so. *level* is
    one step easier, as is, or one step harder. *keep* and *leave_out* are selections of hits that must sound, or must
    not. *figures* says how fills and drums alone become melody (None = they stay drums), and *picks* which candidate
    each takes. Raise HandgrooveError where the pattern's translators are unknown or wrong.
    """
    return Desk(
        groove, chart, pattern, player or Player(), key, level, keep, leave_out, figures, picks or {}
    ).part
