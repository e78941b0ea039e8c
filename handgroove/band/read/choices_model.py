"""What a choices file may say."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from handgroove.band.read.choices import Rule
from handgroove.band.read.roles import BandRole
from handgroove.errors import did_you_mean
from handgroove.yamlfile.file_model import FieldFault, FieldFaults, FileModel

_ROLES = [role.value for role in BandRole]


def _check_bars(text: str) -> str:
    if text and not re.fullmatch(r"\d{1,4}(\s*-\s*\d{1,4})?", text):
        raise FieldFaults(FieldFault(f"expected bars such as 5 or 5-12, got {text[:40]!r}"))
    first, dash, last = text.partition("-")
    if dash and int(first) > int(last):
        raise FieldFaults(FieldFault(f"expected the first bar before the last, got {text!r}"))
    return text


def _check_roles(roles: dict[str, str]) -> dict[str, str]:
    faults = [
        FieldFault(
            f"expected one of {', '.join(_ROLES)}, got {role[:40]!r}",
            (name,),
            remedy=did_you_mean(role, _ROLES),
        )
        for name, role in roles.items()
        if role not in _ROLES
    ]
    if faults:
        raise FieldFaults(*faults)
    return roles


class RuleEntry(FileModel):
    """One thing said of a track or a drum."""

    track: str = Field(
        min_length=1, description="a track's name or part of it; or kick, snare, hat, ride, crash, toms"
    )
    section: str = Field(default="", description="only in this section, by name or letter")
    bars: Annotated[str, AfterValidator(_check_bars)] = Field(
        default="", description="only in these bars: 5 or 5-12"
    )

    def rule(self) -> Rule:
        """Return it as a rule."""
        if not self.bars:
            return Rule(self.track, self.section)
        first, _, last = self.bars.replace(" ", "").partition("-")
        return Rule(self.track, self.section, (int(first), int(last or first)))


class ChoicesFile(FileModel):
    """A choices file: what the player decides about one band's condensing."""

    roles: Annotated[dict[str, str], AfterValidator(_check_roles)] = Field(
        default_factory=dict, description="what a track does, by its name"
    )
    keep: tuple[RuleEntry, ...] = Field(default=(), description="must be heard, if hands allow")
    leave_out: tuple[RuleEntry, ...] = Field(default=(), description="is not brought to the piano")
    density: Literal["spare", "usual", "full"] = Field(
        default="usual", description="how much is brought to the piano"
    )
    chords: Literal["comp", "support", "answer"] = Field(
        default="comp",
        description="what chords do beside the tune: in the hats' rhythm, under it, or in its rests",
    )
    figures: dict[str, Annotated[int, Field(ge=1, le=99)]] = Field(
        default_factory=dict,
        description="which candidate, from 1, the fill that begins in a bar gets: bar 12: 2",
    )
    prefer: tuple[RuleEntry, ...] = Field(default=(), description="its lines come first where the tune rests")
