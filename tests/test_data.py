"""Finding the files that come with Handgroove."""

from __future__ import annotations

import pytest

from handgroove.data import data_folder
from handgroove.errors import HandgrooveError


def test_the_patterns_are_found() -> None:
    """The patterns' folder is there and holds patterns."""
    assert (data_folder("patterns") / "straight-eighths.yaml").is_file()


def test_a_missing_folder_is_told_plainly() -> None:
    """A folder that is not there asks for a new installation."""
    with pytest.raises(HandgrooveError, match="install Handgroove again"):
        data_folder("no such folder")
