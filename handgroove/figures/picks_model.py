"""The picks file's model."""

from __future__ import annotations

from pydantic import Field

from handgroove.yamlfile.model import FileModel


class PickItem(FileModel):
    """One choice."""

    bar: int = Field(ge=0, description="the bar that the figure begins in")
    choose: int = Field(1, ge=1, le=99, description="which candidate, counted from 1")
    notes: str = Field("", description="the figure's notes, which fix it whatever the ranking: F5 G5 F5 E5")


class PicksFile(FileModel):
    """A picks file."""

    picks: list[PickItem] = Field(default_factory=list, description="the choices, one a figure")
