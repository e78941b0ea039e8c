"""The package's own names: each is there."""

from __future__ import annotations

import pytest

import handgroove


@pytest.mark.parametrize("name", handgroove.__all__)
def test_every_public_name_is_there(name: str) -> None:
    """A name that the package gives out can be fetched from it."""
    assert getattr(handgroove, name) is not None


def test_another_name_is_refused() -> None:
    """A name that the package lacks is an attribute error, as anywhere."""
    with pytest.raises(AttributeError, match="no attribute 'read_grove'"):
        _ = handgroove.read_grove
