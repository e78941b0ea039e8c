"""What a part is written as: one row for each output; every command that writes parts goes by this table.

A row's function takes what was made (a `Part`) and the row's options, and returns the file's text or bytes, or, where
there are several files, all of them by name. It is fetched when it is used, with the libraries that it needs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from pkgutil import resolve_name
from typing import Any, Literal

Files = Mapping[str, bytes | str]


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that can be chosen of an output: the function's argument, the command's *flag*, and what is *usual*."""

    name: str
    flag: str
    kind: Any
    usual: Any
    help: str
    most: int | None = None  # of a number; the least is 0


@dataclass(frozen=True, slots=True)
class Writer:
    """One output: its *name*, ``module:function``, the first *files* that it makes, and which *extra* it needs.

    What is *usual* is always written; the rest is asked for by name.
    """

    name: str
    function: str
    files: tuple[str, ...]
    options: tuple[Option, ...] = ()
    extra: str = ""
    usual: bool = True

    def make(self, made: Any, options: Mapping[str, Any]) -> Files:
        """Return the files of *made*, what they hold by name; of *options* the row's own are taken."""
        own = {option.name: options[option.name] for option in self.options if option.name in options}
        held: Files | bytes | str = resolve_name(self.function)(made, **own)
        return held if isinstance(held, Mapping) else {self.files[0]: held}


WRITERS = (
    Writer("midi", "handgroove.output.midi:format_midi", ("piano.mid",)),
    Writer("report", "handgroove.output.report:format_report_json", ("report.json",)),
    Writer("picture", "handgroove.output.picture:format_picture", ("fingers.svg",)),
    Writer(
        "score",
        "handgroove.output.score:format_score",
        ("score.musicxml", "score.pdf", "score-1.svg", "score-1.png"),
        (
            Option("fingerings", "--fingerings", Literal["changes", "all", "none"], "changes",
                   "fingers where the hand changes, all, or none."),
            Option("drum_cue", "--drum-line", bool, False, "the groove in small notes above, with a legend."),
            Option("simile", "--simile", bool, False, "repeat signs for bars that say the last one again."),
            Option("ghost_left_out", "--show-left-out", bool, False, "left-out strokes as small notes."),
        ),
        extra="score",
        usual=False,
    ),
    Writer(
        "sound",
        "handgroove.output.sound.recording:format_sound",
        ("piano.wav",),
        (
            Option("soundfont", "--soundfont", Path | None, None,
                   "a SoundFont (SF2, SF3) of your own in place of our piano."),
            Option("drums", "--hear-drums", Literal["off", "soft", "only"], "off",
                   "with the drums to compare, or they alone."),
            Option("count_in_bars", "--count-in", int, 0, "click so many bars before.", most=8),
            Option("click", "--click", bool, False, "click on every beat."),
        ),
        extra="sound",
        usual=False,
    ),
)  # fmt: skip


def choose(writers: Iterable[Writer], asked: Iterable[str] = ()) -> list[Writer]:
    """Return those of *writers* that are usual or *asked* for by name."""
    names = set(asked)
    return [writer for writer in writers if writer.usual or writer.name in names]


def file_names(writers: Iterable[Writer]) -> list[str]:
    """Return the names of the first files that *writers* make."""
    return [name for writer in writers for name in writer.files]


def make_files(writers: Iterable[Writer], made: Any, options: Mapping[str, Any] | None = None) -> Files:
    """Return all files of *made* by name; nothing is on disk until `write_files` puts them there together."""
    return {name: held for writer in writers for name, held in writer.make(made, options or {}).items()}
