"""Composing a YAML file into a document: nothing but plain data, and nothing that grows.

Mappings, lists, text, numbers, true, false and null are read, resolved as YAML 1.2's core schema (YAML Language
Development Team, 2021, chapter 10.3) resolves them, so that ``off`` and ``1:30`` stay what was written. Aliases and
tags are refused: no file of ours needs them, and by them a small file becomes a huge one.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import yaml

from handgroove.errors import HandgrooveError, Problem
from handgroove.yamlfile.document import Document, Entry, place_problem

SIZE_LIMIT_BYTES = 128 * 1024  # a pattern needs 2 KB
VALUE_LIMIT = 5000  # a pattern has a hundred; what takes time is their number, not their length
DEPTH_LIMIT = 16

_INTEGER = re.compile(r"[-+]?[0-9]{1,18}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_WORDS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
# What the YAML parser says, by a part of its words, and what that means to somebody who wrote a pattern.
_PLAINLY = (
    ("'\\t'", "expected spaces, got a tab: YAML lines are indented with spaces"),
    ("mapping values are not allowed here", "a second ':' on one line, or a line indented too far"),
    ("could not find expected ':'", "expected a ':' after this key"),
    (
        "expected <block end>",
        "this line is indented differently from its neighbours, or lacks a '- ' or a ':'",
    ),
    ("while scanning a block scalar", "a value may not begin with '|' or '>': leave the first bar sign out"),
    ("while scanning a quoted scalar", "a quote is opened and never closed"),
    ("expected ',' or", "expected ',' or a closing bracket"),
    ("found '<stream end>'", "a bracket or a value is begun here or above, and the file ends in it"),
    ("expected the node content", "expected a value here, got punctuation: put the value in quotes"),
    ("expected a single document", "expected one document in the file, got a second one after '---'"),
    (
        "sequence entries are not allowed here",
        "a list ('- ') may not start here: begin it on a line of its own",
    ),
    ("cannot start any token", "this character can't begin a value: put the value in quotes"),
)


def load_yaml(path: str | Path) -> Document:
    """Read the YAML file at *path* with the place of every word; raise HandgrooveError if that fails."""
    source = str(path)
    try:
        with Path(path).open("rb") as file:
            data = file.read(SIZE_LIMIT_BYTES + 1)
    except FileNotFoundError:
        raise HandgrooveError(Problem(source, "there is no such file")) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise HandgrooveError(Problem(source, f"the file can't be read: {why.lower()}")) from None
    return parse_document(data, source)


def parse_document(data: bytes, source: str) -> Document:
    """Parse the bytes of a YAML file, which messages call *source*."""
    text = _decode(data, source)
    lines = tuple(re.split(r"\r\n|\r|\n", text))
    loader = _Loader(text)
    try:
        node = loader.get_single_node()
    except yaml.MarkedYAMLError as error:
        raise HandgrooveError(_explain_syntax(error, source, lines)) from None
    if node is None:
        raise HandgrooveError(Problem(f"{source}:1:1", "expected keys and values, got an empty file"))
    repeated: list[Problem] = []
    root = _make_entry(node, None, source, lines, repeated)
    return Document(source, lines, root, tuple(repeated))


def _decode(data: bytes, source: str) -> str:
    if len(data) > SIZE_LIMIT_BYTES:
        limit = f"expected at most {SIZE_LIMIT_BYTES // 1024} KB, got a bigger file"
        raise HandgrooveError(Problem(source, limit, remedy="is it the right file?"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "replace")
        at = (before.count("\n"), len(before) - before.rfind("\n") - 1)
        wrong = f"expected UTF-8 text, got the byte 0x{data[error.start]:02x}"
        remedy = "save the file as UTF-8 text in your editor"
        raise HandgrooveError(Problem(f"{source}:{at[0] + 1}:{at[1] + 1}", wrong, remedy=remedy)) from None
    odd = yaml.reader.Reader.NON_PRINTABLE.search(text)
    if odd:
        at = (text.count("\n", 0, odd.start()), odd.start() - text.rfind("\n", 0, odd.start()) - 1)
        wrong = f"expected text, got the control character U+{ord(odd.group()):04X}"
        raise HandgrooveError(Problem(f"{source}:{at[0] + 1}:{at[1] + 1}", wrong))
    return text


class _Loader(yaml.SafeLoader):
    """A safe loader that only composes nodes, refusing aliases, tags and deep nesting on the way."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012  (scalars are resolved by _read_scalar)
    depth = 0
    values = 0

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        """Compose the next node after looking at it."""
        event: yaml.Event = self.peek_event()  # type: ignore[no-untyped-call]
        if isinstance(event, yaml.AliasEvent):
            self._refuse("an alias ('*') is not read here: write its value out", event)
        if getattr(event, "tag", None) is not None:
            self._refuse("a tag ('!') is not read here: leave it out", event)
        if self.depth > DEPTH_LIMIT:
            self._refuse(f"nested more than {DEPTH_LIMIT} deep", event)
        self.values += 1
        if self.values > VALUE_LIMIT:
            self._refuse(f"more than {VALUE_LIMIT} values: is it the right file?", event)
        self.depth += 1
        node: yaml.Node | None = super().compose_node(parent, index)
        self.depth -= 1
        return node

    @staticmethod
    def _refuse(text: str, event: yaml.Event) -> None:
        raise yaml.MarkedYAMLError(problem=text, problem_mark=event.start_mark)  # type: ignore[arg-type]


def _explain_syntax(error: yaml.MarkedYAMLError, source: str, lines: tuple[str, ...]) -> Problem:
    said = f"{error.context or ''} {error.problem or ''}"
    plain = next(
        (meaning for words, meaning in _PLAINLY if words in said), error.problem or "this is not YAML"
    )
    mark = error.problem_mark or error.context_mark
    if "quoted scalar" in said and error.context_mark:
        mark = error.context_mark  # the end of the file is no help: show where the quote was opened
    at = (mark.line, mark.column) if mark else (0, 0)
    return place_problem(source, lines, at, plain)


def _make_entry(
    node: yaml.Node, key: yaml.Node | None, source: str, lines: tuple[str, ...], repeated: list[Problem]
) -> Entry:
    """Make the entry of *node* and of all that it holds; note keys that come twice in *repeated*."""
    place = (node.start_mark.line, node.start_mark.column)
    key_place = (key.start_mark.line, key.start_mark.column) if key else (-1, -1)
    if isinstance(node, yaml.ScalarNode):
        exact = node.style is None and node.start_mark.line == node.end_mark.line
        value = _read_scalar(node.value) if node.style is None else node.value
        return Entry(value, *place, node.value, *key_place, exact=exact)
    if isinstance(node, yaml.SequenceNode):
        items: dict[str | int, Entry] = {
            i: _make_entry(item, None, source, lines, repeated) for i, item in enumerate(node.value)
        }
        return Entry([e.value for e in items.values()], *place, "a list", *key_place, children=items)
    children: dict[str | int, Entry] = {}
    for key_node, value_node in node.value:
        at = (key_node.start_mark.line, key_node.start_mark.column)
        if not isinstance(key_node, yaml.ScalarNode):
            repeated.append(place_problem(source, lines, at, "expected a word as the key, got brackets"))
            continue
        if key_node.value in children:
            first = children[key_node.value].key_line + 1
            text = f"{key_node.value[:40]}: this key is already given in line {first}"
            repeated.append(place_problem(source, lines, at, text))
            continue
        children[key_node.value] = _make_entry(value_node, key_node, source, lines, repeated)
    value = {name: entry.value for name, entry in children.items()}
    return Entry(value, *place, "a mapping", *key_place, children=children)


def _read_scalar(text: str) -> str | int | float | bool | None:
    """Return what a plain scalar means in YAML 1.2's core schema (decimal numbers only)."""
    if text in _WORDS:
        return _WORDS[text]
    if _INTEGER.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        number = float(text)
        return number if math.isfinite(number) else text
    return text
