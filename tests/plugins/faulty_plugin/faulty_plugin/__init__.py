"""Translators by somebody who made every mistake there is, one in each."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, ClassVar

from handgroove.host.translator import Settings
from handgroove.strike import Hand, LeaveOut, Role, Strike

GOOD = Strike((64,), 80, Hand.RIGHT, Role.COLOUR, 240)

RUBBISH: dict[str, Any] = {
    "nothing": None,
    "text": "C major",
    "too high": [replace(GOOD, pitches=(200,))],
    "half a key": [replace(GOOD, pitches=(60.5,))],  # type: ignore[arg-type]
    "no keys": [replace(GOOD, pitches=())],
    "six fingers": [replace(GOOD, fingers=(6,))],
    "silent": [replace(GOOD, velocity=0)],
    "third hand": [replace(GOOD, hand="both")],  # type: ignore[arg-type]
    "no role": [replace(GOOD, role="drums")],  # type: ignore[arg-type]
    "endless": [replace(GOOD, hold_ticks=float("inf"))],  # type: ignore[arg-type]
    "before the music": [replace(GOOD, delay_ticks=-(10**6))],
    "not a number": [replace(GOOD, weight=float("nan"))],
    "a flood": [GOOD] * 1000,
    "no reason": LeaveOut(None),  # type: ignore[arg-type]
}


class Base:
    """A right translator, for what is wrong to be built on."""

    name: ClassVar[str] = ""
    summary: ClassVar[str] = "does something wrong"
    settings_model: ClassVar[type[Settings]] = Settings

    def __init__(self, settings: Any) -> None:
        self.settings = settings

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Answer as one should."""
        return [GOOD]


class Raises(Base):
    """Raises."""

    name = "raises"

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Raise an error of two lines."""
        raise ValueError("no idea\nwhat to play")


class NeverReturns(Base):
    """Loops, and holds every Exception."""

    name = "never returns"

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Never return."""
        while True:
            try:
                sum(range(10))
            except Exception:
                continue


class NeverEnds(Base):
    """Makes strikes without end."""

    name = "never ends"

    def strikes(self, hit: Any, moment: Any) -> Iterator[Strike]:
        """Yield for ever."""
        while True:
            yield GOOD


class Slow(Base):
    """Takes a while."""

    name = "slow"

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Reckon for longer than any credit lasts."""
        for _ in range(10**8):
            pass
        return [GOOD]


class RubbishSettings(Settings):
    """Which rubbish."""

    kind: str = "nothing"


class Rubbish(Base):
    """Answers what no piano can play."""

    name = "rubbish"
    settings_model = RubbishSettings

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Answer rubbish of the kind asked for."""
        return RUBBISH[self.settings.kind]


class Prints(Base):
    """Is right, and talks."""

    name = "prints"

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Print, and answer as one should."""
        print("look at me")
        return [GOOD]


class Leaves(Base):
    """Ends the program."""

    name = "leaves"

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Exit."""
        sys.exit(3)


class Property(Base):
    """Fails when its method is looked for."""

    name = "property"

    def __getattribute__(self, attribute: str) -> Any:
        """Raise for the method."""
        if attribute == "strikes":
            raise LookupError("strikes? which strikes?")
        return super().__getattribute__(attribute)


class RaisingConstructor(Base):
    """Can't be made."""

    name = "raising constructor"

    def __init__(self, settings: Any) -> None:
        raise OSError("my licence is missing")


class EndlessConstructor(Base):
    """Is never made."""

    name = "endless constructor"

    def __init__(self, settings: Any) -> None:
        while True:
            pass


class WrongSignature(Base):
    """Takes other things than a translator is given."""

    name = "wrong signature"

    def strikes(self, drum: Any, now: Any) -> Any:
        """Answer as one should."""
        return [GOOD]


class RaisesLate(Base):
    """Raises in the midst of its strikes."""

    name = "raises late"

    def strikes(self, hit: Any, moment: Any) -> Iterator[Strike]:
        """Yield a strike, then raise."""
        yield GOOD
        raise KeyboardInterrupt


class BadFigure:
    """A figure translator that raises."""

    name: ClassVar[str] = "bad figure"
    summary: ClassVar[str] = "does something wrong with a whole figure"
    settings_model: ClassVar[type[Settings]] = Settings

    def __init__(self, settings: Any) -> None:
        self.settings = settings

    def figure(self, hits: Any, moments: Any) -> Any:
        """Raise."""
        raise ZeroDivisionError("no figure")


class LowNote(Base):
    """Bears the name of one of Handgroove's own."""

    name = "low note"
