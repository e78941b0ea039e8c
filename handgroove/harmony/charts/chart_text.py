"""Charts read from text, every problem told at once with its line and column.

The grammar is told in `handgroove.harmony.chart`.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from handgroove.errors import HandgrooveError, Problem
from handgroove.harmony.charts.chart_head import read_metre
from handgroove.harmony.charts.chart_items import Item, Word, place_items, read_item, share_words, shares
from handgroove.harmony.charts.chart_lines import MOST_PROBLEMS, Scanner
from handgroove.harmony.charts.chart_model import Chart, ChartBar, ChartChord, Cue
from handgroove.harmony.charts.unfold import MOST_BARS, WrittenBar, unfold
from handgroove.harmony.symbols.chord_faults import ChordFault, fault_problem
from handgroove.timeline import Metre

MOST_CHARACTERS = 100_000
_COMMON_TIME = Metre(4, 4)


def read_chart(path: str | Path) -> Chart:
    """Return the chart in the text file at *path*."""
    place = str(path)
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise HandgrooveError(
            Problem(place, "expected a chart as plain text (UTF-8), got other bytes")
        ) from None
    except OSError as error:
        if isinstance(error, FileNotFoundError):
            remedy = "check the name and the folder; chords themselves go between bar lines: | Am7 | F |"
            raise HandgrooveError(
                Problem(place, "expected a chart file, found nothing there", "", remedy)
            ) from None
        reason = error.strerror or "it can't be read"
        raise HandgrooveError(Problem(place, f"expected a chart file, got an error: {reason}")) from None
    return parse_chart(text, place)


def parse_chart(text: str, source: str = "") -> Chart:
    """Return the chart that *text* spells; *source* names it in messages."""
    name = source or "chart"
    if len(text) > MOST_CHARACTERS:
        raise HandgrooveError(
            Problem(name, f"expected at most {MOST_CHARACTERS} characters, got {len(text)}")
        )
    scanner = Scanner(source, text.splitlines())
    scanner.scan()
    if not scanner.bars and not scanner.problems:
        remedy = "write bars such as | C | Am7 | F . G7 . |"
        raise HandgrooveError(Problem(name, "expected at least one bar, got none", "", remedy))
    reader = _BarReader(scanner, scanner.head.metre or _COMMON_TIME)
    pickup = reader.pickup()
    written = [reader.bar(bar) for bar in scanner.bars if not scanner.is_hopeless]
    order = [] if scanner.is_hopeless or len(written) > MOST_BARS else unfold(scanner.bars, scanner.report)
    if scanner.problems:
        raise HandgrooveError(_in_order(scanner, name))
    head = scanner.head
    bars = _fill_drum_bars(_mark_metres([written[index] for index in order], reader.first_metre))
    ticks = len(scanner.pickup) * reader.first_metre.unit_ticks
    return Chart(bars, head.title, head.key, head.metre, head.tempo_bpm, head.feel, pickup, ticks, source)


def _in_order(scanner: Scanner, name: str) -> list[Problem]:
    """Return the problems in file order; where there are very many, the first of them and a word about the rest."""
    problems = sorted(scanner.problems, key=_line_and_column)
    if not scanner.is_hopeless:
        return problems
    more = Problem(
        name, f"stopped after {MOST_PROBLEMS} problems", "", "is this a chart? bars look like | C | Am7 |"
    )
    return [*problems[:MOST_PROBLEMS], more]


def _line_and_column(problem: Problem) -> tuple[int, int]:
    """Return where *problem* stands, for putting problems in file order."""
    parts = problem.place.rsplit(":", 2)
    return (int(parts[-2]), int(parts[-1])) if len(parts) == 3 else (0, 0)


class _BarReader:
    """Reads written bars one after another; holds and ``%`` refer to what was read before."""

    def __init__(self, scanner: Scanner, metre: Metre) -> None:
        self.scanner = scanner
        self.first_metre = self.metre = metre
        self.sounding: ChartChord | None = None
        self.last: ChartBar | None = None

    def pickup(self) -> ChartBar | None:
        """Return the incomplete first bar, a beat for each item, if the head has one."""
        words = self.scanner.pickup
        if not words:
            return None
        if len(words) >= self.metre.beats:
            expected = f"expected fewer than {self.metre.beats} items (a beat each) in a bar of {self.metre}"
            self.scanner.report(words[0], f"pickup: {expected}, got {len(words)}")
        parts = (self.metre.unit_ticks,) * len(words)
        bar = ChartBar(place_items(self._items(words), parts, None, Cue.NONE))
        self.sounding = bar.chords[-1]
        return bar

    def bar(self, written: WrittenBar) -> ChartBar:
        """Return what *written* means; its metre is the one that holds in it."""
        if written.metre and written.metre_place:
            metre = read_metre(written.metre)
            if metre is None:
                expected = f"expected a metre such as 3/4 or 6/8, got {written.metre!r}"
                self.scanner.report(written.metre_place, expected)
            self.metre = metre or self.metre
        bar = ChartBar(self._chords(written.words), self.metre, written.section)
        if bar.chords:
            self.sounding, self.last = bar.chords[-1], bar
        return bar

    def _chords(self, words: list[Word]) -> tuple[ChartChord, ...]:
        """Return the chords of a bar that holds *words*."""
        cue = Cue.NONE
        if words[0].text.lower() == "drums":
            words, cue = words[1:], Cue.DRUMS_ONLY
            if not words:
                return (ChartChord(0, None, 0, cue),)
        elif [word.text for word in words] == ["%"]:
            return self._repeated(words[0])
        items = self._items(words)
        parts = shares(len(items), self.metre)
        if parts is None:
            expected = f"expected {share_words(self.metre)} items in a bar of {self.metre}, got {len(items)}"
            self.scanner.report(
                words[0], expected, "give each beat a chord or a dot that holds it: | F . G7 . |"
            )
            return ()
        if items[0].hold and self.sounding is None:
            self.scanner.report(words[0], f"expected a chord before the first {words[0].text!r}, got none")
        return place_items(items, parts, self.sounding, cue)

    def _repeated(self, word: Word) -> tuple[ChartChord, ...]:
        """Return the chords of the bar before, for ``%``."""
        if self.last is None:
            self.scanner.report(word, "expected a bar before '%' to repeat, got none")
            return ()
        if self.last.metre != self.metre and len(self.last.chords) > 1:
            self.scanner.report(word, f"expected chords in the first bar of {self.metre}, got '%'")
        return self.last.chords

    def _items(self, words: list[Word]) -> list[Item]:
        """Return the items that *words* spell, reporting each that can't be read."""
        items: list[Item] = []
        for word in words:
            if self.scanner.is_hopeless:
                return items
            item = read_item(word)
            if isinstance(item, ChordFault):
                if word.text == "%":
                    item = ChordFault(0, "'%' alone in its bar")
                line = self.scanner.lines[word.line - 1].rstrip()
                place = self.scanner.place(word, item.start)
                self.scanner.problems.append(fault_problem(word.text, item, place, line, word.column))
                item = Item()
            items.append(item)
        return items


def _mark_metres(bars: list[ChartBar], metre: Metre) -> list[ChartBar]:
    """Return *bars*, each with its metre, with the metre kept only where it changes from the first *metre* on."""
    marked = []
    for bar in bars:
        marked.append(replace(bar, metre=None) if bar.metre == metre else bar)
        metre = bar.metre or metre
    return marked


def _fill_drum_bars(bars: list[ChartBar]) -> tuple[ChartBar, ...]:
    """Return *bars* with the chord that holds under bars of drums alone: the one before, else the first after."""
    first = next((c.chord for bar in bars for c in bar.chords if c.chord is not None), None)
    filled, known = [], first
    for bar in bars:
        chords = tuple(
            replace(c, chord=known) if c.chord is None and c.cue is Cue.DRUMS_ONLY else c for c in bar.chords
        )
        known = next((c.chord for c in reversed(chords) if c.chord is not None), known)
        filled.append(replace(bar, chords=chords))
    return tuple(filled)
