"""What a pattern file may say: the model that checks it and publishes its JSON Schema."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, field_validator

from handgroove.errors import did_you_mean
from handgroove.groove.hits import Feel
from handgroove.groove.kit import Family, Piece
from handgroove.groove.read.rows import find_row_names
from handgroove.groove.read.steps import Grid
from handgroove.harmony.charts.chart_head import read_metre
from handgroove.yamlfile.file_model import Expected, FieldFault, FieldFaults, FileModel

NOTHING = "nothing"  # `use: nothing` leaves pieces out
TOMS = "toms"
_SWUNG_TICKS = {"eighths": 480, "sixteenths": 240}


def family_name(family: Family) -> str:
    """Return how a pattern file calls *family*."""
    return TOMS if family is Family.TOM else family.value


def find_take_names() -> dict[str, frozenset[Piece]]:
    """Return what ``take:`` may name, families first, and the pieces that each name means."""
    families = {family_name(family): frozenset(p for p in Piece if p.family is family) for family in Family}
    return {piece.value: frozenset({piece}) for piece in Piece} | families


def _as_list(value: Any) -> Any:
    """Return *value* in a list if it stands alone."""
    return [value] if isinstance(value, str | Mapping) else value


RowText = Annotated[str, Field(json_schema_extra={"pattern": r"^[.gxXoO%| ]*$"})]
Rows = Annotated[
    dict[str, RowText],
    Expected("rows of the groove, such as 'kick: X...X...'"),
    Field(json_schema_extra={"propertyNames": {"enum": find_row_names()}}),
]
Blocks = Annotated[
    tuple[Rows, ...],
    BeforeValidator(_as_list, json_schema_input_type=Rows | tuple[Rows, ...]),
    Expected("rows of the groove, such as 'kick: X...X...', or a list of such blocks"),
]


def _check_take(name: str) -> str:
    known = list(find_take_names())
    if name not in known:
        got = f"expected a drum, a cymbal or a family of them, got {name[:40]!r}"
        raise FieldFaults(FieldFault(got, remedy=did_you_mean(name[:40], known)))
    return name


TakeName = Annotated[
    str, AfterValidator(_check_take), Field(json_schema_extra={"enum": list(find_take_names())})
]
PieceName = Annotated[Piece, Expected("the name of a drum or cymbal")]
TakeNames = Annotated[
    tuple[TakeName, ...],
    BeforeValidator(_as_list, json_schema_input_type=TakeName | tuple[TakeName, ...]),
    Expected("the name of a piece or family, or a list of names"),
]
PieceNames = Annotated[
    tuple[PieceName, ...],
    BeforeValidator(_as_list, json_schema_input_type=PieceName | tuple[PieceName, ...]),
    Expected("the name of a drum or cymbal, or a list of names"),
]


class Swing(FileModel):
    """How the offbeats swing."""

    swing: float = Field(
        gt=1, le=4, description="long to short: 2 is a triplet's swing, 1.5 a light one, 3 dotted"
    )
    of: Literal["eighths", "sixteenths"] = Field(default="eighths", description="which notes swing")


FeelField = Annotated[
    Swing | Literal["straight"], Expected("'straight', or swing such as {swing: 2, of: eighths}")
]


class HarmonyEntry(FileModel):
    """What the chords are to be like; what is not said goes by the feel, the tempo and the chords themselves."""

    voicing: Literal["auto", "triads", "open fifths", "shells", "rootless", "quartal"] = Field(
        default="auto", description="how the right hand's chords are built"
    )
    colour: bool | None = Field(
        default=None, description="add the tensions that the key allows where the chord symbol names none"
    )
    top_line: Literal["free", "held", "moving"] = Field(
        default="free", description="whether the chords' highest notes stay or sing"
    )
    low_note: Literal["bass", "root", "fifth"] = Field(
        default="bass", description="which note of the chord the left little finger takes"
    )
    low_octave: Literal["deep", "line"] = Field(
        default="deep",
        description="where it lies: deep, or from C2 to B2, where a line in two or walking has room",
    )
    pedal: Literal["auto", "harmony", "half bar", "off"] = Field(
        default="auto", description="sustain pedal: changed with each chord, each half bar, or none"
    )


class FillTime(FileModel):
    """What the rows of a fill are measured by, where that is not the groove's."""

    steps_per_beat: int | None = Field(
        default=None, ge=1, le=24, description="as the pattern's, where it is not given"
    )
    feel: FeelField | None = Field(
        default=None, description="as the pattern's, where it is not given (triplets are straight)"
    )


class FillEntry(FillTime):
    """A fill: what the drummer plays instead of the groove's last bar (or bars), and where it lands."""

    about: str = Field(default="", description="what is characteristic of it")
    groove: Blocks = Field(description="the fill's rows, whole bars")
    lands: PieceNames = Field(
        default=(), description="pieces struck together on the 1 that follows: [crash, kick]"
    )


class HandEntry(FileModel):
    """One assignment: what is taken, which translator takes it, in which hand."""

    take: TakeNames = Field(
        description="a piece, a family (kick, snare, hat, ride, crash, toms, hand percussion), or a list"
    )
    use: str = Field(
        description="a translator's name (see `handgroove translators`), or `nothing` to leave these out"
    )
    hand: Literal["left", "right"] | None = Field(
        default=None, description="which hand plays it, where the translator's own choice won't do"
    )
    settings: dict[str, Any] = Field(default_factory=dict, description="the translator's own settings")


class PatternHead(FileModel):
    """What a pattern is called, and how fast it goes."""

    title: str = Field(min_length=1, description="the pattern's name in full")
    about: str = Field(default="", description="what is characteristic of it, and how the two hands take it")
    as_drums: str = Field(
        default="", description="one's own reading: can a drummer play it, and is it this style"
    )
    at_the_piano: str = Field(default="", description="one's own reading: does it lie well under two hands")
    tempo: Annotated[
        int,
        Field(ge=20, le=300, description="quarter notes a minute (a dotted quarter of 60 is 90)"),
        Expected("a whole number 20 to 300 (quarter notes a minute)"),
    ] = 100


class PatternTime(FileModel):
    """What the rows of a groove are measured by: a pattern's metre, feel and steps."""

    metre: Annotated[
        str,
        Field(pattern=r"^[1-9][0-9]?/(2|4|8|16)$", description="time signature"),
        Expected("a time signature such as 4/4, 6/8 or 7/8"),
    ] = "4/4"
    feel: FeelField = Field(default="straight", description="how the offbeats lie")
    steps_per_beat: Annotated[
        int,
        Field(ge=1, le=24, description="characters to a felt beat (the dotted note in 6/8, 9/8 and 12/8)"),
        Expected("a whole number 1 to 24 (characters to a beat)"),
    ] = 4

    def grid(self, fill: FillTime | None = None) -> Grid:
        """Return the ruler under the groove, or under a *fill* with steps or a feel of its own."""
        steps, feel = (fill.steps_per_beat, fill.feel) if fill else (None, None)
        return _make_grid(self.metre, feel or self.feel, steps or self.steps_per_beat)

    @field_validator("metre")
    @classmethod
    def _check_metre(cls, metre: str) -> str:
        if read_metre(metre) is None:
            raise FieldFaults(FieldFault(f"expected a time signature such as 4/4, 6/8 or 7/8, got {metre!r}"))
        return metre

    @field_validator("steps_per_beat")
    @classmethod
    def _check_steps(cls, steps: int, info: ValidationInfo) -> int:
        if {"metre", "feel"} <= info.data.keys():
            grid = _make_grid(info.data["metre"], info.data["feel"], steps)
            if grid.faults:
                raise FieldFaults(*(FieldFault(text) for text in grid.faults))
        return steps


class PatternFile(PatternTime, PatternHead):
    """A pattern: a groove, and how two hands take it."""

    groove: Blocks = Field(
        default=(), description="a row a drum, a character a step; several blocks follow one another"
    )
    fills: dict[str, FillEntry] = Field(default_factory=dict, description="fills by name")
    hands: tuple[HandEntry, ...] = Field(
        default=(), description="who takes what; what is not named is taken as usual"
    )
    harmony: Annotated[HarmonyEntry, Field(description="what the chords are to be like")] = HarmonyEntry()


def _make_grid(metre: str, feel: Swing | str, steps_per_beat: int) -> Grid:
    parsed = read_metre(metre)
    assert parsed is not None  # checked by the model
    bent = Feel(feel.swing, _SWUNG_TICKS[feel.of]) if isinstance(feel, Swing) else Feel()
    return Grid(parsed, steps_per_beat, bent)


def make_schema() -> dict[str, Any]:
    """Make the JSON Schema (draft 2020-12) of pattern files."""
    schema = PatternFile.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
