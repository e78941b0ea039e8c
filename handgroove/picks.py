"""Picks: what a player chose among readings and figures, kept in a small YAML file beside the music.

    # What was chosen for take.mid. Written by handgroove; edit it as you like.
    reading:
      pattern: swing ride
      voicing: rootless
    figures:
      bar 8: 2

``reading`` holds choices by the option they stand for; ``figures`` says which candidate, counted from 1, a bar's fill
takes. Whatever is not named is left to the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import yaml
from pydantic import AfterValidator, Field

from handgroove.hands.ease import Ease
from handgroove.harmony.voice.voicing_settings import Idiom
from handgroove.output.files import write_whole
from handgroove.sources.readers import endings
from handgroove.yamlfile import read_yaml
from handgroove.yamlfile.file_model import FieldFault, FieldFaults, FileModel

if TYPE_CHECKING:
    from handgroove.patterns import Pattern


@dataclass(frozen=True, slots=True)
class Picks:
    """What was chosen: *reading* by option name, *figures* by ``bar N`` (candidates counted from 1)."""

    reading: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, int] = field(default_factory=dict)

    def figure(self, bar: int) -> int | None:
        """Return which candidate was chosen for the figure that starts in *bar*, or None."""
        return self.figures.get(f"bar {bar}")

    def with_figure(self, bar: int, number: int) -> Picks:
        """Return these picks with candidate *number* chosen for the figure that starts in *bar*."""
        return replace(self, figures={**self.figures, f"bar {bar}": number})

    def with_reading(self, reading: Mapping[str, str]) -> Picks:
        """Return these picks with another *reading*; what is empty in it is left to the program."""
        return replace(self, reading={key: value for key, value in reading.items() if value})


def _check_bars(figures: dict[str, int]) -> dict[str, int]:
    wrong = [key for key in figures if not (key.startswith("bar ") and key[4:].isdigit())]
    if wrong:
        raise FieldFaults(
            *(FieldFault(f"expected 'bar' and its number, got {key!r}", (key,), at_key=True) for key in wrong)
        )
    return figures


class _Reading(FileModel):
    """The options that a reading stands for."""

    pattern: str = ""
    level: Ease | Literal[""] = ""
    voicing: Idiom | Literal[""] = ""


class _PicksFile(FileModel):
    """A picks file."""

    reading: _Reading = _Reading()
    figures: Annotated[dict[str, Annotated[int, Field(ge=1, le=99)]], AfterValidator(_check_bars)] = Field(
        default_factory=dict
    )


def picks_path(source: str | Path) -> Path:
    """Return where the picks for *source* are kept: ``take.picks.yaml`` beside ``take.mid``."""
    path = Path(source)
    name = path.stem if path.suffix.lower() in endings() else path.name
    return path.with_name(f"{name.replace(' ', '-')}.picks.yaml")


def read_picks(path: str | Path) -> Picks:
    """Read the picks at *path*; raise HandgrooveError with all that is wrong in the file."""
    read = read_yaml(path, _PicksFile)
    chosen = {key: str(getattr(read.reading, key)) for key in _Reading.model_fields}
    return Picks({key: value for key, value in chosen.items() if value}, dict(read.figures))


def format_picks(picks: Picks, source: str = "") -> str:
    """Return *picks* as the text of a picks file for *source*."""
    about = f" for {' '.join(source.split())}" if source else ""
    data: dict[str, Mapping[str, str] | Mapping[str, int]] = {}
    if picks.reading:
        data["reading"] = {key: picks.reading[key] for key in _Reading.model_fields if key in picks.reading}
    if picks.figures:
        data["figures"] = dict(sorted(picks.figures.items(), key=lambda item: int(item[0].split()[1])))
    body = yaml.safe_dump(data, sort_keys=False, allow_unicode=True)
    return f"# What was chosen{about}. Written by handgroove; edit it as you like.\n{body}"


def write_picks(picks: Picks, path: Path, source: str = "") -> Path:
    """Write *picks* to *path*, over what is there: a picks file is kept by the program."""
    return write_whole(path, format_picks(picks, source))


@dataclass(frozen=True, slots=True)
class Picked:
    """What picks mean for the main job: *pattern*, *ease* (None = none chosen), *figures*, and messages.

    *idiom* is a voicing that was picked for whatever pattern is played; a picked pattern is already voiced.
    """

    pattern: Pattern | None = None
    ease: Ease | None = None
    figures: Mapping[str, int] = field(default_factory=dict)
    messages: tuple[str, ...] = ()
    idiom: Idiom | None = None

    def voiced(self, pattern: Pattern) -> Pattern:
        """Return *pattern* with the idiom that was picked, where one was."""
        if self.idiom is None:
            return pattern
        return replace(pattern, harmony=replace(pattern.harmony, idiom=self.idiom))


def use_picks(source: str | Path) -> Picked:
    """Return what was kept for *source*: its reading's pattern, voiced as it says, and level; and its figures."""
    from handgroove.patterns import read_pattern

    path = picks_path(source)
    picks = read_picks(path) if path.exists() else Picks()
    reading = picks.reading
    if not reading:
        return Picked(figures=picks.figures)
    pattern = read_pattern(reading["pattern"]) if "pattern" in reading else None
    idiom = Idiom(reading["voicing"]) if "voicing" in reading else None
    if pattern and idiom:
        pattern, idiom = replace(pattern, harmony=replace(pattern.harmony, idiom=idiom)), None
    ease = Ease(reading["level"]) if "level" in reading else None
    told = ", ".join(f"{key} {value}" for key, value in reading.items())
    return Picked(pattern, ease, picks.figures, (f"played as picked in {path.name}: {told}",), idiom)
