"""Finding translators, refusing wrong ones by name, and explaining wrong settings."""

from __future__ import annotations

from typing import Any

import pytest

from handgroove.errors import HandgrooveError
from handgroove.host.registry import check_translator, find_translator, find_translators, make_found
from handgroove.host.translator import Settings
from handgroove.translators.comping import Comping


def test_the_built_in_translators_are_found() -> None:
    """Every built-in loads, bears its entry point's name and says what it does."""
    found, wrong = find_translators()
    names = {item.name for item in found}
    assert {
        "low note",
        "thumb reply",
        "comping",
        "two-handed chord",
        "tom tones",
        "click",
        "hand percussion",
    } <= names
    assert not wrong
    assert all(len(item.summary) > 20 for item in found)


def test_an_unknown_name_gets_the_nearest() -> None:
    """A typing error in a translator's name is answered with the right one."""
    with pytest.raises(HandgrooveError, match="did you mean 'comping'"):
        find_translator("compping")


def test_settings_are_made_and_checked() -> None:
    """Right settings are taken; wrong names and values are all told, with the place."""
    assert make_found(find_translator("comping"), {"fastest": 6}).settings.fastest == 6
    with pytest.raises(HandgrooveError) as caught:
        make_found(find_translator("comping"), {"fastst": 6, "hold": "long"}, "song.yaml:4:3")
    said = str(caught.value)
    assert "song.yaml:4:3" in said
    assert "did you mean 'fastest'" in said
    assert "hold" in said
    assert "'long'" in said


def plugin(**changes: Any) -> Any:
    """Return a translator class that is right but for *changes*."""
    return type("Plugin", (), {**dict(vars(Comping)), **changes})


def with_names(self: Any, drum: Any, now: Any) -> Any:
    """Stand in for a method with other argument names."""


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": "other"}, "expected its attribute 'name' to be its entry point's, 'comping', got 'other'"),
        ({"summary": None}, "expected a class attribute 'summary' that is text, got None"),
        ({"settings_model": dict}, "expected 'settings_model' to be a subclass"),
        ({"strikes": None}, "got neither"),
        ({"strikes": with_names}, "expected strikes(self, hit, moment), got strikes(self, drum, now)"),
        ({"figure": with_names}, "got strikes and figure"),
    ],
)
def test_a_wrong_plugin_is_told_what_was_expected(changes: dict[str, Any], said: str) -> None:
    """Each way of being wrong names the signature found and the one expected."""
    assert check_translator("comping", plugin()) == []
    assert any(said in line for line in check_translator("comping", plugin(**changes)))


def test_something_that_is_no_class_is_refused() -> None:
    """A function or module under the entry point is refused."""
    assert "expected a class" in check_translator("comping", len)[0]


def test_settings_refuse_what_they_do_not_know() -> None:
    """The base of all settings forbids unknown names."""
    assert Settings.model_config["extra"] == "forbid"
