"""Where results go: a folder for each source, written whole or not at all, and told."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from handgroove.output.writers import WRITERS, Writer, choose, file_names, make_files

if TYPE_CHECKING:
    from handgroove.part import Part

    Extra = str
else:  # a type checker can't read the table
    Extra = StrEnum("Extra", {writer.name.upper(): writer.name for writer in WRITERS if not writer.usual})

_HELP = " or ".join(
    f"{writer.name} (extra {writer.extra!r})" if writer.extra else writer.name
    for writer in WRITERS
    if not writer.usual
)
Write = Annotated[list[Extra] | None, typer.Option(help=f"Also write: {_HELP}.")]


def with_writer_options(command: Callable[..., None]) -> Callable[..., None]:
    """Give *command* the options of all writers, after its own ``write``, for its ``**options``."""
    signature = inspect.signature(command, eval_str=True)
    *own, _ = signature.parameters.values()
    place = next(n for n, parameter in enumerate(own, 1) if parameter.name == "write")
    own[place:place] = [
        inspect.Parameter(
            option.name,
            inspect.Parameter.POSITIONAL_OR_KEYWORD,
            default=option.usual,
            annotation=Annotated[
                option.kind,
                typer.Option(
                    option.flag,
                    help=f"{writer.name.capitalize()}: {option.help}",
                    min=None if option.most is None else 0,
                    max=option.most,
                ),
            ],
        )
        for writer in WRITERS
        for option in writer.options
    ]
    command.__signature__ = signature.replace(parameters=own)  # type: ignore[attr-defined]
    command.__annotations__ = {parameter.name: parameter.annotation for parameter in own}
    return command


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


def check_folder(
    folder: Path, extras: Iterable[str] = (), *, force: bool, writers: Sequence[Writer] = WRITERS
) -> None:
    """Raise HandgrooveError where *folder* already has what would be written, unless *force*."""
    from handgroove.output.files import check_free

    check_free([folder / name for name in file_names(choose(writers, extras))], force=force)


def write_part(
    part: Part, folder: Path, extras: Iterable[str] = (), options: Mapping[str, Any] | None = None
) -> list[Path]:
    """Write all that is usual and the *extras* into *folder*, everything or nothing, and return the files."""
    from handgroove.output.files import write_files

    return write_files(folder, make_files(choose(WRITERS, extras), part, options))


def tell(part: Part, written: Sequence[Path], *, as_json: bool = False) -> None:
    """Print the report, and where the files are."""
    from handgroove.output.report import format_report_json, print_report

    if as_json:
        print(format_report_json(part), end="")
        return
    print_report(part)
    print(f"wrote {', '.join(str(path) for path in written)}")
