"""The lines of a chart cut into its head and its bars as written; what the bars mean is read elsewhere."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from handgroove.errors import Problem, did_you_mean
from handgroove.harmony.charts.chart_head import HEAD_WORDS, ChartHead, read_head
from handgroove.harmony.charts.chart_items import Word
from handgroove.harmony.charts.unfold import MOST_BARS, WrittenBar
from handgroove.harmony.symbols.chord_faults import point_at, shorten

_REMARK = re.compile(r"(?:^|(?<=\s))#(?=\s|$).*|^\s*#.*")
_TITLE = re.compile(r"\s*title\s*:", re.IGNORECASE)
_HEAD_LINE = re.compile(r"\s*([A-Za-z]+)\s*:(?!\|)(.*)")
_TOKEN = re.compile(
    r"""(?P<section>\[[^\]]*\]?)|(?P<close>:\|+:?)|(?P<open>\|+:)|(?P<bar>\|+)"""
    r"""|(?P<times>[x×]\d{1,4}(?=\s|$|\|))|(?P<ending>(?:\d+(?:-\d+)?[.,])+(?=\s|$|\|))"""
    r"""|(?P<metre>\d+/\d+(?=\s|$|\|))|(?P<word>[^\s|\[]+?(?=\s|$|:?\||\[))""",
    re.VERBOSE,
)
MOST_PASSES = 64
MOST_PROBLEMS = 20  # a file with more is no chart with slips in it


@dataclass(slots=True)
class Scanner:
    """Cuts the lines of a chart into *head*, *pickup* and *bars*, and collects *problems*."""

    source: str
    lines: list[str]
    head: ChartHead = field(default_factory=ChartHead)
    pickup: list[Word] = field(default_factory=list)
    bars: list[WrittenBar] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    bar: WrittenBar | None = None  # the bar being read
    line_on: int = 0  # the line of the bar line that stands last with nothing after it, else 0

    def scan(self) -> None:
        """Read every line."""
        for number, full in enumerate(self.lines, 1):
            if self.is_hopeless:
                return
            # A title may have a # in it.
            line = full if _TITLE.match(full) else _REMARK.sub("", full).rstrip()
            match = _HEAD_LINE.fullmatch(line)
            if match:
                self._head_line(number, match)
                continue
            self.line_on = 0
            for token in _TOKEN.finditer(line):
                if len(self.bars) > MOST_BARS:
                    place = Word("", number, token.start() + 1)
                    self.report(place, f"expected at most {MOST_BARS} bars, got more")
                    return
                word = Word(token[0], number, token.start() + 1)
                getattr(self, f"_{token.lastgroup}")(word)
            if self.bar and self.bar.words:
                self._end_bar()
        if self.bar and (self.bar.metre or self.bar.opens or self.bar.passes):
            self.report(self.bar.place, "expected a bar after this, got the end of the chart", "")

    @property
    def is_hopeless(self) -> bool:
        """Return whether there are so many problems that more would help nobody."""
        return len(self.problems) >= MOST_PROBLEMS

    def report(self, word: Word, text: str, remedy: str = "") -> None:
        """Collect the problem *text* at *word*, with its line and a caret."""
        line = self.lines[word.line - 1].rstrip() if self.lines else ""
        excerpt = point_at(line, word.column) if line else ""
        self.problems.append(Problem(self.place(word), text, excerpt, remedy))

    def place(self, word: Word, shift: int = 0) -> str:
        """Return ``file:line:column`` of *word*, *shift* characters in."""
        return f"{self.source or 'chart'}:{word.line}:{word.column + shift}"

    def _head_line(self, number: int, match: re.Match[str]) -> None:
        """Read a line such as ``tempo: 112``."""
        word, value = match[1].lower(), match[2]
        at = Word(match[1], number, match.start(1) + 1)
        if word not in HEAD_WORDS:
            expected = f"expected a head line ({', '.join(HEAD_WORDS)}) or bars, got {shorten(match[1])!r}"
            remedy = did_you_mean(word, HEAD_WORDS) if value.strip() else f"a section is written [{match[1]}]"
            self.report(at, expected, remedy)
        elif self.bars or self.bar:
            self.report(at, f"{word}: expected before the first bar", "move this line to the chart's head")
        elif word == "pickup":
            self.pickup = [
                Word(item[0], number, match.start(2) + item.start() + 1)
                for item in re.finditer(r"\S+", value)
            ]
        else:
            wrong = read_head(self.head, word, value.strip())
            if wrong:
                column = match.start(2) + 1 + len(value) - len(value.lstrip())
                self.report(Word(value, number, column), f"{word}: {wrong}")

    def _open_bar(self, word: Word) -> WrittenBar:
        """Return the bar being read; begin one at *word* if there is none."""
        self.line_on = 0
        if self.bar is None:
            self.bar = WrittenBar(word)
        return self.bar

    def _end_bar(self) -> None:
        """End the bar being read, if there is one with something in it."""
        if self.bar is not None and self.bar.words:
            self.bars.append(self.bar)
            self.bar = None

    # What each kind of token does.

    def _section(self, word: Word) -> None:
        name = word.text.strip("[]").strip()
        if not word.text.endswith("]") or not name:
            self.report(word, f"expected a section such as [Verse], got {shorten(word.text)!r}")
        self._end_bar()
        self._open_bar(word).section = name

    def _bar(self, word: Word) -> None:
        if self.bar is not None and self.bar.words:
            self._end_bar()
        elif self.line_on == word.line or (self.bar and (self.bar.metre or self.bar.passes)):
            self.report(
                word, "expected chords in the bar, got nothing", "write % to repeat the bar before it"
            )
        self.line_on = word.line

    def _open(self, word: Word) -> None:
        self._end_bar()
        self._open_bar(word).opens = True

    def _close(self, word: Word) -> None:
        self._end_bar()
        if not self.bars:
            self.report(word, "expected bars before ':|', got none")
        elif self.bars[-1].times:
            self.report(word, "expected bars between two ':|', got none")
        else:
            self.bars[-1].times = 2
        if word.text.endswith("|:"):
            self._open_bar(word).opens = True

    def _times(self, word: Word) -> None:
        times = int(word.text[1:])
        last = self.bars[-1] if self.bars and (self.bar is None or not self.bar.words) else None
        if last is None or not last.times:
            self.report(word, f"expected {shorten(word.text)!r} right after ':|'")
        elif not 2 <= times <= MOST_PASSES:
            self.report(word, f"expected x2 to x{MOST_PASSES}, got {shorten(word.text)!r}")
        else:
            last.times, last.times_given = times, True
        self.line_on = 0

    def _ending(self, word: Word) -> None:
        passes: list[int] = []
        for first, last in re.findall(r"(\d{1,4})(?:-(\d{1,4}))?", word.text):
            passes += range(int(first), min(int(last or first), MOST_PASSES) + 1)
        bar = self._open_bar(word)
        if bar.words:
            self.report(word, f"expected {shorten(word.text)!r} right after a bar line")
        elif not passes or max(passes) > MOST_PASSES:
            self.report(word, f"expected endings 1. to {MOST_PASSES}., got {shorten(word.text)!r}")
        else:
            bar.passes = tuple(passes)

    def _metre(self, word: Word) -> None:
        bar = self._open_bar(word)
        if bar.words:
            self.report(
                word, f"expected the metre {shorten(word.text)!r} at a bar's start, before its chords"
            )
        else:
            bar.metre, bar.metre_place = word.text, word

    def _word(self, word: Word) -> None:
        self._open_bar(word).words.append(word)
