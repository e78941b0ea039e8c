"""The main job: a groove, a chart, a pattern and a player become a piano part."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from handgroove.desk.chord_ends import end_with_chords
from handgroove.desk.pedal import plan_pedal
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.plan import Figures, plan_figures
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.know.knowledge import Knowledge, know_groove
from handgroove.groove.meant.gestures import GestureKind, find_gestures
from handgroove.groove.read.selection import Selection, find_selected
from handgroove.hands.ease import Level, simplify
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.harmony.chart import Chart, Harmony, lay_chart
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicings import plan_voicings
from handgroove.host.chain import Chain, make_links, make_stop
from handgroove.host.planned import PlannedPlacing
from handgroove.part import Change, Note, Omission, Part
from handgroove.patterns import read_pattern
from handgroove.strike import Asked, Hand

if TYPE_CHECKING:
    from handgroove.harmony.chord import Key
    from handgroove.patterns import Pattern

PLAIN_PATTERN, PATTERN_FOR_SWING = "straight-eighths", "swing-ride"


def translate(  # noqa: PLR0913 (each is one thing that a musician may say)
    groove: Groove,
    chart: Chart | None = None,
    pattern: Pattern | None = None,
    player: Player | None = None,
    *,
    key: Key | None = None,
    level: Level = Level.AS_IS,
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
    known = know_groove(groove)
    groove = with_feel(known)
    pattern = pattern or usual_pattern(known)
    player = player or Player()
    timeline = groove.timeline

    harmony = lay_chart(chart, timeline, key)
    voicings, lows = plan_chords(harmony, pattern)
    sung = Figures()
    if figures is not None:
        sung = plan_figures(groove, known, harmony, voicings, figures, picks, lows=lows)
    links = make_links(pattern.assignments)
    placing = PlannedPlacing(harmony, voicings, lows)
    chain = Chain(links, placing, known.levels, timeline, stop=make_stop())
    asked, unanswered = ask(chain, groove, sung.hits)
    asked, simplified = simplify([*asked, *sung.asked], level, timeline)
    kept, unmet = find_selected(keep, groove, known.levels)
    unwanted, unmet_too = find_selected(leave_out, groove, known.levels)
    settled = settle(asked, player, timeline, keep=kept, leave_out=unwanted)

    changes = (*unanswered, *sung.omissions, *simplified, *settled.omissions)
    notes = end_with(end_with_chords(settled.notes, harmony), timeline.end_tick)

    return Part(
        title=(chart.title if chart else "") or groove.title,
        notes=notes,
        omissions=tuple(sorted(changes, key=lambda item: item.tick)),
        timeline=timeline,
        harmony=harmony,
        groove=groove,
        pedal=plan_pedal(notes, harmony, timeline, pattern.harmony.pedal),
        sections=harmony.sections or groove.markers,
        messages=(
            *harmony.messages,
            *known.doubts,
            *sung.messages,
            *unmet,
            *unmet_too,
            *_messages(groove, chain),
            *_rests(notes),
        ),
        pattern_name=pattern.name,
        player_name=player.name,
        figures=sung.explanations,
    )


def usual_pattern(known: Knowledge | None) -> Pattern:
    """Return the pattern that a groove gets where none is named."""
    return read_pattern(PATTERN_FOR_SWING if known and known.feel.is_swung else PLAIN_PATTERN)


def plan_chords(harmony: Harmony, pattern: Pattern) -> tuple[tuple[tuple[int, ...], ...], tuple[int, ...]]:
    """Return the right hand's voicing and the left hand's low note for each of the harmony's spans."""
    lows = plan_low(harmony, pattern.harmony)
    return tuple(plan_voicings(harmony, pattern.harmony, lows=lows)), tuple(lows)


def with_feel(known: Knowledge) -> Groove:
    """Return the groove with the feel that was found in its hits, unless it states one of its own."""
    groove = known.groove
    return groove if groove.feel.swing_ratio > 1 else replace(groove, feel=known.feel.feel)


def end_with(notes: Iterable[Note], end_tick: int) -> tuple[Note, ...]:
    """Return *notes*, none sounding past *end_tick*: the music's last note is not held into the silence."""
    return tuple(
        note if note.end_tick <= end_tick else replace(note, length_ticks=max(1, end_tick - note.tick))
        for note in notes
    )


def ask(chain: Chain, groove: Groove, taken_over: Collection[int] = ()) -> tuple[list[Asked], list[Omission]]:
    """Return all that *chain*'s translators ask for *groove*'s hits, and a line for every hit that gets nothing.

    The hits *taken_over* (indices) belong to figures, and no translator gets them.
    """
    asked: list[Asked] = []
    unanswered: list[Omission] = []
    gestures = {gesture.main: gesture for gesture in find_gestures(groove)}
    graces = {index for gesture in gestures.values() for index in gesture.graces}
    for index, hit in enumerate(groove.hits):
        if index in taken_over or index in graces:
            continue
        kind = GestureKind.SINGLE
        others: tuple[tuple[int, Hit], ...] = ()
        if index in gestures:
            kind = gestures[index].kind
            others = tuple((other, groove.hits[other]) for other in gestures[index].graces)
        taken = chain.take(index, hit, kind, others)
        asked.extend(taken.asked)
        if taken.reason:
            change = Change.THINNED if "thinned" in taken.reason else Change.LEFT_OUT
            lost = (index, *(other for other, _ in others))
            unanswered.append(Omission(hit.tick, change, hit.piece.value, taken.reason, hits=lost))
    sung = [index for index in taken_over if index in gestures]
    for index in sung:
        alone = tuple(other for other in gestures[index].graces if other not in taken_over)
        if alone:
            piece = groove.hits[index].piece.value
            reason = "grace notes of a stroke that belongs to a figure"
            unanswered.append(Omission(groove.hits[index].tick, Change.LEFT_OUT, piece, reason, hits=alone))
    return asked, unanswered


def _rests(notes: Sequence[Note]) -> list[str]:
    """Return a word about a right hand that has nothing at all, since the chords are then not heard."""
    if not notes or any(note.hand is Hand.RIGHT for note in notes):
        return []
    return [
        "the right hand rests throughout: the pattern gives it none of this groove's drums "
        "(one of your own can: take: snare, use: comping)"
    ]


def _messages(groove: Groove, chain: Chain) -> list[str]:
    """Return what the player should know of the groove and the plugins as a whole."""
    told = [
        f"note {number} is not in the kit: {count} hit{'s' if count > 1 else ''} left out (describe yours with --kit)"
        for number, count in groove.unknown.items()
    ]
    told += [
        f"the translator {fault.name!r} failed and was bypassed ({fault.error})" for fault in chain.faults
    ]
    return told
