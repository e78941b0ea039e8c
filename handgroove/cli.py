"""The ``handgroove`` command. Each command is a small file in `handgroove.commands`; errors are told here."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from handgroove import __version__
from handgroove.collector import collect_rarely
from handgroove.commands import players
from handgroove.commands.audition import audition
from handgroove.commands.check import check
from handgroove.commands.condense import condense
from handgroove.commands.demo import demo
from handgroove.commands.figures import figures
from handgroove.commands.inspect import inspect
from handgroove.commands.live import live
from handgroove.commands.patterns import app as patterns
from handgroove.commands.ports import ports
from handgroove.commands.translate import translate
from handgroove.commands.translators import translators
from handgroove.errors import HandgrooveError

app = typer.Typer(
    name="handgroove",
    help="Turn a drummer's groove into a piano part that two hands can play.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: the coloured one costs 0.2 s to import
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _show_version(asked: bool) -> None:
    if asked:
        typer.echo(f"handgroove {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Say the version and stop."),
    ] = False,
    debug: Annotated[
        bool, typer.Option("--debug", help="Show the whole trace of an error, for its report.")
    ] = False,
) -> None:
    """Turn a drummer's groove into a piano part that two hands can play.

    New here? Run: handgroove demo
    """


app.command()(translate)
app.command()(inspect)
app.command()(figures)
app.command()(condense)
app.command()(translators)
app.add_typer(patterns)
app.command()(demo)
app.command()(audition)
app.command()(check)
app.add_typer(players.app)
app.command()(live)
app.command()(ports)


_PLAIN_WORDS = {  # what the library says of a wrong value -> what a musician is told
    "Value error, ": "",
    "Input should be less than or equal to": "expected at most",
    "Input should be greater than or equal to": "expected at least",
}


def _run() -> int:
    """Run the command and return its exit code; wrong use is told in plain words."""
    try:
        return int(app(standalone_mode=False) or 0)
    except Exception as error:
        # What every error of use has, whichever module the library keeps it in.
        show = getattr(error, "show", None)
        if show is None:
            raise
        for said, plain in _PLAIN_WORDS.items():
            error.message = error.message.replace(said, plain)  # type: ignore[attr-defined]
        show()
        return int(getattr(error, "exit_code", 2))


def main() -> None:
    """Run the command; end with 0 done, 1 the work failed, 2 wrong use, 130 interrupted."""
    collect_rarely()
    try:
        sys.exit(_run())
    except HandgrooveError as error:
        if "--debug" in sys.argv:
            raise
        print(error, file=sys.stderr)
        sys.exit(error.exit_code)
    except Exception as error:
        if "--debug" in sys.argv:
            raise
        print(f"handgroove failed in a way it should not: {type(error).__name__}: {error}", file=sys.stderr)
        print("    run it again with `handgroove --debug ...` and send us what it says", file=sys.stderr)
        sys.exit(1)
