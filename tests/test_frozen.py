"""Frozen dataclasses that are made quickly."""

from __future__ import annotations

import inspect
import pickle
from dataclasses import FrozenInstanceError, dataclass, replace

import pytest

from handgroove.frozen import quick


@dataclass(frozen=True, slots=True)
class Plain:
    """A value as dataclasses make it."""

    pitch: int
    name: str = "C"


@quick
@dataclass(frozen=True, slots=True)
class Quick:
    """The same, made quickly."""

    pitch: int
    name: str = "C"


def test_a_quick_value_is_all_that_a_plain_one_is() -> None:
    """Its class, words, defaults, equality, hash, copies and pickles are those of a plain frozen dataclass."""
    one = Quick(60)
    assert type(one) is Quick
    assert repr(one) == repr(Plain(60)).replace("Plain", "Quick")
    assert (one.pitch, one.name) == (60, "C") == (replace(one).pitch, replace(one).name)
    assert one == Quick(pitch=60, name="C") != Quick(61)
    assert hash(one) == hash(Plain(60))
    assert pickle.loads(pickle.dumps(one)) == one
    assert inspect.signature(Quick) == inspect.signature(Plain)


def test_a_quick_value_is_locked() -> None:
    """No field can be set or deleted, and none added."""
    one = Quick(60)
    with pytest.raises(FrozenInstanceError):
        one.pitch = 61  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del one.pitch
    with pytest.raises((FrozenInstanceError, AttributeError, TypeError)):
        one.other = 1  # type: ignore[attr-defined]


def test_wrong_arguments_are_refused() -> None:
    """A missing or unknown field is told as Python tells it."""
    with pytest.raises(TypeError, match="pitch"):
        Quick()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="octave"):
        Quick(60, octave=4)  # type: ignore[call-arg]
