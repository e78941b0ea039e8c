"""Links: a pattern's translators made ready for the chain, whatever their makers did wrong.

A translator that can't be loaded or made gets a stand-in that fails when it is first asked, so that it is told and
bypassed as any other that fails, and the song is played.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_styles import CellStyle
from handgroove.host.fence import Fence, desk_fence
from handgroove.host.registry import Found, find_doubles, look_up, make_found
from handgroove.host.watch import PluginError
from handgroove.strike import Hand, Moment
from handgroove.timeline import Metre


@dataclass(frozen=True, slots=True)
class Link:
    """One translator at work: its *name*, the *pieces* it takes, and the *hand* it is told to use (None = its own).

    *origin* is the package that it comes from. *is_figure* says that it takes whole figures, *is_own* that it is
    Handgroove's own, whose answers need no check. *doubles* tell of packages whose translator of this name was refused.
    *comps* says that it can comp by cells, and *cell* how these are made (None = it answers each stroke by itself).
    """

    name: str
    pieces: frozenset[Piece]
    translator: Any  # a HitTranslator, a FigureTranslator, or one of these inside a fence
    hand: Hand | None = None
    origin: str = ""
    is_figure: bool = False
    is_own: bool = False
    doubles: tuple[str, ...] = ()
    comps: bool = False
    cell: CellStyle | None = None


@dataclass(frozen=True, slots=True)
class PluginFault:
    """A translator that failed: its *name*, the *error* in one line, and the package that it comes from."""

    name: str
    error: str
    origin: str = ""

    @property
    def text(self) -> str:
        """Return the line that tells of it."""
        package = f" of {self.origin}" if self.origin else ""
        return f"the translator {self.name!r}{package} failed and was bypassed ({self.error})"


@dataclass(frozen=True, slots=True)
class Own:
    """Who strikes what is the hands' own: *stop* and *push* a chart's cues, *line* the low line (None = there is none).

    *line_places* gives the offsets in a bar at which the line has a note.
    """

    stop: Link
    push: Link
    line: Link | None = None
    line_places: Callable[[Metre], frozenset[int]] = lambda _: frozenset()


@dataclass(frozen=True, slots=True)
class LowLine:
    """The line of a *translator* of the hands' own low notes, asked as a translator is."""

    translator: Any

    def strikes(self, hit: Hit, moment: Moment) -> Any:
        """Return the line's note, whatever was struck there."""
        return self.translator.line(moment)


class Assigned(Protocol):
    """What a pattern says of one translator (see handgroove.patterns)."""

    @property
    def pieces(self) -> frozenset[Piece]: ...  # noqa: D102
    @property
    def use(self) -> str: ...  # noqa: D102
    @property
    def hand(self) -> Hand | None: ...  # noqa: D102
    @property
    def settings(self) -> Mapping[str, object]: ...  # noqa: D102
    @property
    def place(self) -> str: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class _StandIn:
    """Stands for a translator that could not be made: it fails when it is asked."""

    error: str

    def strikes(self, hit: Hit, moment: Moment) -> None:
        """Say why there is no translator."""
        raise PluginError(self.error)


def make_links(assignments: Iterable[Assigned], fence: Fence | None = None) -> tuple[Link, ...]:
    """Make the translators that *assignments* name, inside *fence* (None = one for a song offline).

    Raise HandgrooveError for an unknown one or a wrong setting.
    """
    fence = fence or desk_fence()
    return tuple(
        _make_link(item.use, item.pieces, item.settings, fence, item.hand, item.place) for item in assignments
    )


def make_own(assignments: Iterable[Assigned], fence: Fence | None = None) -> Own:
    """Make what strikes the hands' own: a chart's stops (let go after an eighth) and pushes, and the first low line."""
    fence = fence or desk_fence()
    stop = _make_link("two-handed chord", frozenset(), {"hold": 0.5}, fence)
    push = _make_link("two-handed chord", frozenset(), {"octave": False}, fence)
    for item in assignments:
        found = look_up(item.use, item.place)
        if isinstance(found, Found) and found.is_own and hasattr(found.maker, "line_places"):
            translator = make_found(found, item.settings, item.place)
            if not translator.line_places(Metre(4, 4)):
                continue
            line: Any = LowLine(translator)
            line = fence.around(line) if fence.limits.own else line
            return Own(
                stop,
                push,
                Link(found.name, frozenset(), line, item.hand, found.origin, is_own=True),
                translator.line_places,
            )
    return Own(stop, push)


def find_takers(links: Iterable[Link]) -> dict[Piece, Link]:
    """Return which of *links* takes each piece: the first that names it."""
    takers: dict[Piece, Link] = {}
    for link in links:
        for piece in link.pieces:
            takers.setdefault(piece, link)
    return takers


def find_celled(links: Iterable[Link]) -> Link | None:
    """Return the first of *links* that can comp by cells, if it does: the pattern's own stand before the usual ones."""
    first = next((link for link in links if link.comps), None)
    return first if first and first.cell else None


def _make_link(
    name: str,
    pieces: frozenset[Piece],
    settings: Mapping[str, object],
    fence: Fence,
    hand: Hand | None = None,
    place: str = "",
) -> Link:
    found = look_up(name, place)
    doubles = tuple(str(double) for double in find_doubles(name))
    if not isinstance(found, Found):
        return Link(name, pieces, _StandIn(found.why), hand, found.origin, doubles=doubles)
    try:
        translator = make_found(found, settings, place)
    except PluginError as error:
        return Link(name, pieces, _StandIn(str(error)), hand, found.origin, doubles=doubles)
    comps = found.is_own and hasattr(translator, "cell_style")
    cell = translator.cell_style if comps else None
    if fence.limits.own or not found.is_own:
        translator = fence.around(translator)
    is_figure = found.kind == "figure"
    return Link(name, pieces, translator, hand, found.origin, is_figure, found.is_own, doubles, comps, cell)
