"""Where results go: a folder for each source, written whole or not at all, and told."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from handgroove.part import Part

FILES = ("piano.mid", "report.json", "fingers.svg")


class Extra(StrEnum):
    """What can be written beside the MIDI file, the report and the picture."""

    SCORE = "score"
    SOUND = "sound"


def choose_folders(sources: Sequence[str], out: Path | None) -> list[Path]:
    """Return a folder for each source: *out* itself for one, folders in it for several, named after the sources."""
    if out is not None and len(sources) == 1:
        return [out]
    parent = out or Path()
    folders: list[Path] = []
    for source in sources:
        stem = Path(source).stem if Path(source).suffix else source.replace(" ", "-").replace("/", "-")
        folder, number = parent / (stem or "groove"), 2
        while folder in folders:
            folder, number = parent / f"{stem}-{number}", number + 1
        folders.append(folder)
    return folders


def check_folder(folder: Path, extras: Sequence[Extra], *, force: bool) -> None:
    """Raise HandgrooveError where *folder* already has what would be written, unless *force*."""
    from handgroove.output.files import check_free

    names = [*FILES]
    names += ["score.musicxml", "score.pdf", "score-1.svg", "score-1.png"] if Extra.SCORE in extras else []
    names += ["piano.wav"] if Extra.SOUND in extras else []
    check_free([folder / name for name in names], force=force)


def write_part(
    part: Part,
    folder: Path,
    extras: Sequence[Extra] = (),
    sound: Mapping[str, Any] | None = None,
    score: Mapping[str, Any] | None = None,
) -> list[Path]:
    """Write all that is asked for into *folder*, everything or nothing, and return the files.

    *sound* and *score* are the options of `write_sound` and `write_score`.
    """
    from handgroove.errors import HandgrooveError, Problem

    try:
        folder.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=".writing-", dir=folder))
    except OSError as error:
        problem = Problem(
            str(folder), f"cannot be written ({error.strerror})", remedy="choose another with --out"
        )
        raise HandgrooveError(problem) from None
    try:
        written = _write_all(part, made, extras, sound or {}, score or {})
        return [path.replace(folder / path.name) for path in written]
    finally:
        shutil.rmtree(made, ignore_errors=True)
        if not any(folder.iterdir()):
            folder.rmdir()


def _write_all(
    part: Part, folder: Path, extras: Sequence[Extra], sound: Mapping[str, Any], score: Mapping[str, Any]
) -> list[Path]:
    from handgroove.output.midi import write_midi
    from handgroove.output.picture import write_picture
    from handgroove.output.report import write_report

    written = [
        write_midi(part, folder / "piano.mid"),
        write_report(part, folder / "report.json"),
        write_picture(part, folder / "fingers.svg"),
    ]
    if Extra.SCORE in extras:
        from handgroove.output.score import write_score

        written += write_score(part, folder, **score)
    if Extra.SOUND in extras:
        from handgroove.output.sound import write_sound

        written.append(write_sound(part, folder / "piano.wav", **sound))
    return written


def tell(part: Part, written: Sequence[Path], *, as_json: bool = False) -> None:
    """Print the report, and where the files are."""
    from handgroove.output.report import format_report_json, print_report

    if as_json:
        print(format_report_json(part), end="")
        return
    print_report(part)
    print(f"wrote {', '.join(str(path) for path in written)}")
