"""Player files: the model that checks them and publishes their JSON Schema, and the players that come built in."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.hands.player import DEFAULT_ORDER, HandSize, Player, Speeds
from handgroove.hands.sizes import size_of_mm, size_of_reach
from handgroove.strike import Role
from handgroove.yamlfile import read_yaml
from handgroove.yamlfile.file_model import Expected, FieldFault, FieldFaults, FileModel

WITH_COMFORT = " with comfort"


def _as_entry(value: Any) -> Any:
    """Return ``ninth with comfort`` and ``205`` as the mappings that they are short for."""
    if isinstance(value, str):
        return {"reach": value.removesuffix(WITH_COMFORT), "with comfort": value.endswith(WITH_COMFORT)}
    if isinstance(value, int | float) and not isinstance(value, bool):
        return {"span mm": value}
    return value


class HandFields(FileModel):
    """One hand's reach, thumb to little finger: in words, or measured."""

    reach: Annotated[
        Literal["seventh", "octave", "ninth", "tenth", "eleventh", "twelfth"] | None,
        Expected("seventh, octave, ninth, tenth, eleventh or twelfth"),
    ] = Field(
        default=None, description="the widest interval, white key to white key, that the hand takes at once"
    )
    with_comfort: bool = Field(default=False, description="yes if it takes that interval without stretching")
    span_mm: Annotated[float | None, Expected("a span of 120 to 320 mm, thumb tip to little finger tip")] = (
        Field(default=None, ge=120, le=320, description="tip to tip, hand flat on a ruler, stretched")
    )

    @model_validator(mode="after")
    def _one_of_two(self) -> HandFields:
        if (self.reach is None) == (self.span_mm is None):
            raise FieldFaults(
                FieldFault("expected either `reach` in words or `span mm`, got both or neither")
            )
        return self

    def size(self) -> HandSize:
        """Return the hand's size in semitones."""
        if self.span_mm is not None:
            return size_of_mm(self.span_mm)
        assert self.reach is not None  # checked above
        return size_of_reach(self.reach, with_comfort=self.with_comfort)


Entry = Annotated[
    HandFields,
    BeforeValidator(_as_entry, json_schema_input_type=HandFields | str | float),
    Expected("a reach ('ninth', 'ninth with comfort') or a span in mm"),
]
Hertz = Annotated[float, Field(ge=1, le=30), Expected("1 to 30 a second")]


class SpeedsEntry(FileModel):
    """How fast these hands can go, in strokes a second; what's not said is an able pianist's."""

    finger: Hertz = Field(default=6.0, description="one finger on one key")
    rock: Hertz = Field(default=9.0, description="two fingers in turn")
    key: Hertz = Field(default=10.0, description="one key, fingers changing")
    run: Hertz = Field(default=16.0, description="single notes in one hand")
    jump_sec: Annotated[float, Field(ge=0, le=1), Expected("seconds, 0 to 1")] = Field(
        default=0.05, description="seconds that any jump takes"
    )
    jump_sec_per_semitone: Annotated[float, Field(ge=0, le=0.2), Expected("seconds, 0 to 0.2")] = Field(
        default=0.012, description="and for each semitone beyond the fingers' reach"
    )

    def speeds(self) -> Speeds:
        """Return the speeds; what's easy keeps its proportion to what's possible."""
        usual = Speeds()
        return Speeds(
            finger_hz=self.finger,
            rock_hz=self.rock,
            key_hz=self.key,
            run_hz=self.run,
            jump_sec=self.jump_sec,
            jump_sec_per_semitone=self.jump_sec_per_semitone,
            easy_finger_hz=usual.easy_finger_hz * self.finger / usual.finger_hz,
            easy_run_hz=usual.easy_run_hz * self.run / usual.run_hz,
            easy_octave_hz=usual.easy_octave_hz * self.finger / usual.finger_hz,
        )


class PlayerFile(FileModel):
    """A player: two hands, how fast they are, and what matters most."""

    name: str = Field(default="", description="how reports call the player")
    hands: Entry | None = Field(default=None, description="the reach of both hands, where they are alike")
    left: Entry | None = Field(default=None, description="the left hand's reach")
    right: Entry | None = Field(default=None, description="the right hand's reach")
    order: tuple[Annotated[Role, Expected("melody, kick, snare, bass, comping or colour")], ...] = Field(
        default=DEFAULT_ORDER,
        description="what matters most, first; what's not named comes last, in the usual order",
    )
    hands_may_cross: bool = Field(default=False, description="whether one hand may pass over the other")
    speeds: SpeedsEntry = Field(default=SpeedsEntry(), description="how fast the hands can go")

    @model_validator(mode="after")
    def _fits_together(self) -> PlayerFile:
        faults = []
        if self.hands is not None and (self.left is not None or self.right is not None):
            faults.append(
                FieldFault("expected `hands` for both or `left` and `right`, got `hands` and one more")
            )
        if len(set(self.order)) != len(self.order):
            faults.append(FieldFault("expected each role once, got one twice", loc=("order",)))
        if faults:
            raise FieldFaults(*faults)
        return self

    def player(self, fallback_name: str) -> Player:
        """Return the player; one hand not told is like the other, and both not told are the default's."""
        usual = HandSize()
        left, right = self.left or self.right or self.hands, self.right or self.left or self.hands
        rest = tuple(role for role in DEFAULT_ORDER if role not in self.order)
        return Player(
            name=self.name or fallback_name,
            left=left.size() if left else usual,
            right=right.size() if right else usual,
            order=(*self.order, *rest),
            speeds=self.speeds.speeds(),
            may_cross=self.hands_may_cross,
        )


# The players that come built in, as their files would be. The speeds of learners are common practice, no source.
_LEARNER = {"finger": 4, "rock": 6, "key": 6, "run": 9, "jump sec": 0.1, "jump sec per semitone": 0.02}
PRESETS: Mapping[str, Mapping[str, Any]] = {
    "small hand": {"name": "a small hand: 185 mm, just an octave", "hands": 185},
    "octave": {"name": "a pianist who reaches an octave", "hands": "octave"},
    "octave with comfort": {"name": "a pianist at ease with octaves", "hands": "octave with comfort"},
    "ninth": {"name": "a pianist who reaches a ninth", "hands": "ninth"},
    "ninth with comfort": {"name": "a pianist at ease with ninths", "hands": "ninth with comfort"},
    "tenth": {"name": "a pianist who reaches a tenth", "hands": "tenth"},
    "tenth with comfort": {"name": "a pianist at ease with tenths", "hands": "tenth with comfort"},
    "learner": {"name": "a learner who reaches an octave", "hands": "octave", "speeds": _LEARNER},
}


def list_players() -> list[str]:
    """Return the names of the players that come built in."""
    return list(PRESETS)


def find_player(name_or_path: str | Path) -> Player:
    """Return the player of a built-in name, or of the YAML file at a path."""
    text = str(name_or_path)
    if isinstance(name_or_path, Path) or text.endswith((".yaml", ".yml")) or "/" in text:
        path = Path(text)
        return read_yaml(path, PlayerFile).player(path.stem)
    name = text.strip().lower().replace("-", " ").removeprefix("an ").removeprefix("a ")
    if name not in PRESETS:
        remedy = did_you_mean(name, PRESETS) or f"known are: {', '.join(PRESETS)}"
        raise HandgrooveError(
            Problem("", f"expected a player's name or a YAML file, got {text!r}", remedy=remedy)
        )
    return PlayerFile.model_validate(PRESETS[name]).player(name)


def player_schema() -> dict[str, Any]:
    """Return the JSON Schema of a player file."""
    schema = PlayerFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
