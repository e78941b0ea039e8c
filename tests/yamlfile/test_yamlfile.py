"""YAML files read with places, and what is said when they are wrong."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import Annotated, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field, field_validator

from handgroove.errors import HandgrooveError, Problem
from handgroove.yamlfile import SIZE_LIMIT_BYTES, check_document, load_yaml, parse_document, read_yaml
from handgroove.yamlfile.file_model import Expected, FieldFault, FieldFaults, FileModel


class Hands(FileModel):
    """A mapping inside the example."""

    hand: Literal["left", "right"] = "left"
    spans: tuple[int, ...] = ()


class Example(FileModel):
    """A file with one of each kind of value."""

    name: str
    tempo: Annotated[int, Field(ge=20, le=300), Expected("a whole number 20 to 300")] = 100
    left_span: int = Field(12, ge=5, le=20)
    hands: tuple[Hands, ...] = ()
    notes: dict[int, Literal["snare", "kick"]] = Field(default_factory=dict)
    row: str = ""

    @field_validator("row")
    @classmethod
    def _check_row(cls, row: str) -> str:
        wrong = [FieldFault(f"expected 'x', got {c!r}", offset=i) for i, c in enumerate(row) if c != "x"]
        if wrong:
            raise FieldFaults(*wrong)
        return row


def check(text: str | bytes) -> Example:
    """Read *text* as an Example."""
    data = text.encode() if isinstance(text, str) else text
    return check_document(parse_document(data, "a.yaml"), Example)


def complaints(text: str | bytes) -> str:
    """Return what is said of *text*, which must be wrong."""
    with pytest.raises(HandgrooveError) as caught:
        check(text)
    return str(caught.value)


def test_a_good_file_is_read(tmp_path: Path) -> None:
    """Keys with spaces, numbers as keys, and lists come in as the model says."""
    path = tmp_path / "good.yaml"
    path.write_text("name: off\nleft span: 9\nhands: [{hand: right, spans: [1, 2]}]\nnotes: {38: snare}\n")
    got = read_yaml(path, Example)
    assert got == Example(
        name="off", left_span=9, hands=(Hands(hand="right", spans=(1, 2)),), notes={38: "snare"}
    )


@pytest.mark.parametrize(
    "word", ["off", "on", "yes", "no", "1:30", "2024-01-01", "0x10", ".inf", "---x", "...x"]
)
def test_words_stay_words(word: str) -> None:
    """What older YAML turns into switches, times and dates stays the text that was written."""
    assert parse_document(f"name: {word}".encode(), "a.yaml").value == {"name": word}


def test_scalars_are_resolved() -> None:
    """Plain numbers, true, false and null are values; in quotes they are text."""
    got = parse_document(b"[1, -2.5, .5, 1e3, true, false, null, ~, '1', \"true\", 1e999]", "a").value
    assert got == [1, -2.5, 0.5, 1000.0, True, False, None, None, "1", "true", "1e999"]


def test_all_problems_come_at_once_in_file_order() -> None:
    """Everything that is wrong is told together, each with its place, its line and a caret."""
    assert complaints(
        "tempo: 400\n"
        "left_spam: 3\n"
        "hands:\n"
        "  - hand: lift\n"
        "    spans: [1, x]\n"
        "  - 5\n"
        "notes:\n"
        "  rim: snare\n"
        "  40: snore\n"
        "row: x.x-\n"
        "tempo: 90\n"
    ) == (
        "a.yaml:1:1: name: expected text, but the key is missing\n"
        "    tempo: 400\n"
        "    ^\n"
        "a.yaml:1:8: tempo: expected a whole number 20 to 300, got '400'\n"
        "    tempo: 400\n"
        "           ^\n"
        "a.yaml:2:1: left_spam: expected one of the keys name, tempo, left span, hands, notes, row, "
        "got 'left_spam'\n"
        "    left_spam: 3\n"
        "    ^\n"
        "    did you mean 'left span'?\n"
        "a.yaml:4:11: hand: expected 'left' or 'right', got 'lift'\n"
        "      - hand: lift\n"
        "              ^\n"
        "    did you mean 'left'?\n"
        "a.yaml:5:16: spans, item 2: expected a whole number, got 'x'\n"
        "        spans: [1, x]\n"
        "                   ^\n"
        "a.yaml:6:5: hands, item 2: expected keys and values (hand, spans), got '5'\n"
        "      - 5\n"
        "        ^\n"
        "a.yaml:8:3: rim: expected a whole number as the key, got 'rim'\n"
        "      rim: snare\n"
        "      ^\n"
        "a.yaml:9:7: 40: expected 'snare' or 'kick', got 'snore'\n"
        "      40: snore\n"
        "          ^\n"
        "    did you mean 'snare'?\n"
        "a.yaml:10:7: row: expected 'x', got '.'\n"
        "    row: x.x-\n"
        "          ^\n"
        "a.yaml:10:9: row: expected 'x', got '-'\n"
        "    row: x.x-\n"
        "            ^\n"
        "a.yaml:11:1: tempo: this key is already given in line 1\n"
        "    tempo: 90\n"
        "    ^"
    )


@pytest.mark.parametrize(
    ("text", "start"),
    [
        (b"", "a.yaml:1:1: expected keys and values, got an empty file"),
        (b"# only a remark\n", "a.yaml:1:1: expected keys and values, got an empty file"),
        (
            b"- a",
            "a.yaml:1:1: expected keys and values (name, tempo, left span, hands, notes, row), got a list",
        ),
        (b"name: 'x\nb: c", "a.yaml:1:7: a quote is opened and never closed"),
        (b"name: b: c", "a.yaml:1:8: a second ':' on one line, or a line indented too far"),
        (b"name: [\n", "a.yaml:2:1: a bracket or a value is begun here or above, and the file ends in it"),
        (b"name: ,\n", "a.yaml:1:7: expected a value here, got punctuation: put the value in quotes"),
        (b"na\xc3\xafve: \xff", "a.yaml:1:8: expected UTF-8 text, got the byte 0xff"),
        (b"\xff\xfen\x00a\x00", "a.yaml:1:1: expected UTF-8 text, got the byte 0xff"),
        (b"a: &x [1]\nb: *x", "a.yaml:2:4: an alias ('*') is not read here: write its value out"),
        (b"name: !!python/object:os.system x", "a.yaml:1:7: a tag ('!') is not read here: leave it out"),
        (b"[" * 2000, "a.yaml:1:18: nested more than 16 deep"),
        (b"name:\n\t- b", "a.yaml:2:1: expected spaces, got a tab: YAML lines are indented with spaces"),
        (b"name: a\x00", "a.yaml:1:8: expected text, got the control character U+0000"),
        (
            b"name: a\n---\nname: b",
            "a.yaml:2:1: expected one document in the file, got a second one after '---'",
        ),
        (b"? [a, b]\n: c\nname: d", "a.yaml:1:3: expected a word as the key, got brackets"),
        (b"x" * (SIZE_LIMIT_BYTES + 1), "a.yaml: expected at most 128 KB, got a bigger file"),
    ],
)
def test_broken_files_are_refused_in_one_sentence(text: bytes, start: str) -> None:
    """A file that is no YAML of ours gets one sentence that says where and why."""
    assert complaints(text).startswith(start)


def test_an_alias_bomb_is_refused_at_once() -> None:
    """Aliases of aliases are stopped at the first alias, before anything grows."""
    bomb = "a: &a [x, x]\n" + "".join(
        f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(20)
    )
    started = time.perf_counter()
    assert "a.yaml:2:8: an alias" in complaints(bomb)
    assert time.perf_counter() - started < 0.5


def test_many_problems_are_counted() -> None:
    """A file with hundreds of problems shows the first twenty and how many more there are."""
    said = complaints("name: a\n" + "".join(f"key{i}: 1\n" for i in range(150)))
    assert said.count("expected one of the keys") == 20
    assert said.endswith("and 130 more problems: mend these first")


def test_a_long_line_is_shown_around_the_place() -> None:
    """The excerpt of a long line is cut so that the caret stays under its character."""
    line, caret = complaints(f"name: {'a' * 300}\nrow: {'x' * 200}-{'x' * 100}").splitlines()[1:]
    assert line[caret.index("^")] == "-"
    assert len(line) < 110


def test_files_that_cannot_be_opened(tmp_path: Path) -> None:
    """A missing file, a folder and an impossible name each get a sentence."""
    for path, words in (
        (tmp_path / "no.yaml", "there is no such file"),
        (tmp_path, "can't be read"),
        ("a\0b", "can't be read"),
    ):
        with pytest.raises(HandgrooveError, match=words):
            load_yaml(path)


def test_reading_yaml_waits_for_pydantic_until_a_model_is_checked() -> None:
    """Loading the YAML reader alone doesn't load the model library, which would slow the start."""
    code = "import sys, handgroove.yamlfile; sys.exit('pydantic' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


_YAML_BITS = st.lists(
    st.sampled_from(
        [*"[]{}:,-?&*!|>'\"%@`#~x. \n\t0", "\n  ", ": ", "- ", "name", "hands", "row: ", "---", "é", "<<"]
    ),
    max_size=200,
).map("".join)


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.binary(max_size=400), st.text(max_size=400).map(str.encode), _YAML_BITS.map(str.encode)))
def test_any_bytes_give_a_result_or_a_clean_error(data: bytes) -> None:
    """Whatever a file holds, it is read or refused with problems; nothing else is raised."""
    try:
        outcome: Example | tuple[Problem, ...] = check(data)
    except HandgrooveError as error:
        outcome = error.problems
    assert outcome


@pytest.mark.parametrize(
    "piece",
    [
        "[",
        "{a: ",
        "- ",
        "? ",
        "x\n",
        "a: 1\n",
        "'",
        "x: [",
        "&a ",
        "a" * 50 + " ",
        "\n",
        "#\n",
        "- x\n",
        "k{}: 1\n",
    ],
)
def test_the_largest_files_take_less_than_a_second(piece: str) -> None:
    """The biggest file that is read at all, made of one thing over and over, is done within a second."""
    copies = SIZE_LIMIT_BYTES // len(piece)
    data = "".join(piece.replace("{}", str(i)) for i in range(copies)).encode()[:SIZE_LIMIT_BYTES]
    started = time.process_time()
    with pytest.raises(HandgrooveError):
        check(data)
    assert time.process_time() - started < 1.0
