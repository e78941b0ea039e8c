"""The base of every file model, and the faults that its validators raise.

A key in a file is the field's name with spaces for underscores: ``steps_per_beat`` is ``steps per beat``.
"""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel, ConfigDict


def _spaced(name: str) -> str:
    return name.replace("_", " ")


class FileModel(BaseModel):
    """A mapping in a file: what is not a key of it is an error, and values don't change."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        alias_generator=_spaced,
        validate_by_name=True,
        validate_by_alias=True,
        coerce_numbers_to_str=True,
        arbitrary_types_allowed=True,
    )


@dataclass(frozen=True, slots=True)
class Expected:
    """Say in words what a field expects: ``Annotated[int, Field(ge=20), Expected("a number from 20")]``."""

    phrase: str


@dataclass(frozen=True, slots=True)
class FieldFault:
    """One thing a validator found wrong: *text* (``expected ..., got ...``) *offset* characters into a value.

    *loc* leads from the value being validated to the part that is wrong.
    """

    text: str
    loc: tuple[str | int, ...] = ()
    offset: int = 0
    remedy: str = ""
    at_key: bool = False


class FieldFaults(ValueError):
    """Raised by a validator with all the *faults* that it found."""

    def __init__(self, *faults: FieldFault) -> None:
        self.faults = faults
        super().__init__("; ".join(fault.text for fault in faults))
