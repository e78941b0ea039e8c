"""What pydantic found wrong, told with the file's places: expected, got, did you mean.

The words come from the model: a field's type, its limits, and ``Expected`` where it needs its own phrase.
"""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator, Mapping
from enum import Enum
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.yamlfile.document import MOST_PROBLEMS, Document, Loc
from handgroove.yamlfile.file_model import Expected, FieldFaults

Model = TypeVar("Model", bound=BaseModel)

_ONE = {int: "a whole number", float: "a number", bool: "true or false", str: "text"}
_MANY = {int: "whole numbers", float: "numbers", str: "words"}
_SHOWN_CHARS = 60
_OTHER_OPTION = ("literal_error", "string_type", "none_required")


def validate(document: Document, model: type[Model]) -> Model:
    """Return *document* as *model*, or raise HandgrooveError with everything that is wrong, in file order."""
    if not isinstance(document.value, dict):
        text = f"expected keys and values ({_list_keys(model)}), got {_show(document, ())}"
        raise HandgrooveError(document.problem((), text))
    try:
        result = model.model_validate(document.value)
    except ValidationError as error:
        document.refuse(explain_errors(error, document, model))
        raise  # pragma: no cover  (a ValidationError always holds an error)
    document.refuse(())
    return result


def explain_errors(
    error: ValidationError, document: Document, model: type[BaseModel], base: Loc = ()
) -> list[Problem]:
    """Return a problem, placed in *document*, for each thing that *error* says of the *model* at *base*."""
    problems: dict[Problem, None] = {}
    items = error.errors(include_url=False)[: 10 * MOST_PROBLEMS]
    paths = [document.path((*base, *item["loc"])) for item in items]
    for item, path in zip(items, paths, strict=True):
        if item["type"] in _OTHER_OPTION and any(
            p[: len(path)] == path and len(p) > len(path) for p in paths
        ):
            continue  # one option of several does not fit, and what is wrong in the other is told
        for problem in _explain_one(dict(item), document, model, base):
            problems[problem] = None
    return list(problems)


def _explain_one(
    item: dict[str, Any], document: Document, model: type[BaseModel], base: Loc
) -> Iterator[Problem]:
    loc: Loc = tuple(item["loc"])
    kind, context = item["type"], item.get("ctx", {})
    place, name = (*base, *loc), _name(document, (*base, *loc))
    cause = context.get("error")
    if isinstance(cause, FieldFaults):
        for fault in cause.faults:
            inner = (*place, *fault.loc)
            text = f"{_name(document, inner)}: {fault.text}"
            yield document.problem(inner, text, fault.remedy, offset=fault.offset, at_key=fault.at_key)
        return
    if kind == "extra_forbidden":
        keys = _keys(_owner(model, loc[:-1]))
        expected = f"one of the keys {', '.join(keys)}" if keys else "no keys here"
        text = f"{name}: expected {expected}, got {name!r}"
        remedy = did_you_mean(name.replace("_", " "), keys)
        yield document.problem(place, text, remedy, at_key=True)
    elif loc and loc[-1] == "[key]":
        text = (
            f"{name}: expected {_key_phrase(model, loc[:-2])} as the key, got {str(loc[-2])[:_SHOWN_CHARS]!r}"
        )
        yield document.problem(place, text, at_key=True)
    elif kind == "missing":
        key = str(loc[-1]).replace("_", " ")
        text = f"{key}: expected {_describe_at(model, loc)}, but the key is missing"
        yield document.problem(place[:-1], text, at_key=True)
    else:
        choices = _choices_at(model, loc)
        entry = document.entry(place)
        remedy = did_you_mean(entry.text[:_SHOWN_CHARS], choices) if choices else ""
        expected = _describe_at(model, loc) or item["msg"]
        yield document.problem(place, f"{name}: expected {expected}, got {_show(document, place)}", remedy)


def _name(document: Document, loc: Loc) -> str:
    """Return how a message calls *loc*: its last key in the file, or the list's key and the item's number."""
    entry, steps = document.root, []
    for step in loc:
        child = entry.children.get(step)
        if child is None and isinstance(step, str):
            step = step.replace("_", " ")  # noqa: PLW2901  (a field's own name stands for its key)
            child = entry.children.get(step)
        if child is not None:
            entry = child
            steps.append(step)
    if not steps:
        return "file"
    if isinstance(steps[-1], int):
        key = next((str(step) for step in reversed(steps) if isinstance(step, str)), "list")
        return f"{key[:_SHOWN_CHARS]}, item {steps[-1] + 1}"
    return steps[-1][:_SHOWN_CHARS]


def _show(document: Document, loc: Loc) -> str:
    """Return what was got at *loc*, as it was written."""
    entry = document.entry(loc)
    if entry.children or isinstance(entry.value, dict | list):
        return entry.text
    if entry.value is None:
        return "nothing"
    text = entry.text
    return repr(text if len(text) <= _SHOWN_CHARS else text[: _SHOWN_CHARS - 1] + "…")


# ---- what the model expects ------------------------------------------------------------------------------


def _keys(kind: Any) -> list[str]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return [(info.alias or name).replace("_", " ") for name, info in kind.model_fields.items()]
    return []


def _list_keys(model: type[BaseModel]) -> str:
    return ", ".join(_keys(model))


def _steps(model: type[BaseModel], loc: Loc) -> tuple[Any, FieldInfo | None]:
    """Return the type (and, if it is a field, the field) that *model* has at *loc*."""
    kind: Any = model
    info: FieldInfo | None = None
    for step in loc:
        found = _step(kind, step)
        if found is not None:
            kind, info = found
    return kind, info


def _step(kind: Any, step: str | int) -> tuple[Any, FieldInfo | None] | None:
    for option in _options(kind):
        origin, args = get_origin(option), get_args(option)
        if isinstance(option, type) and issubclass(option, BaseModel):
            for name, info in option.model_fields.items():
                if step in (name, info.alias):
                    return info.annotation, info
        elif (origin in (dict, Mapping) and isinstance(step, str)) or (
            origin in (list, tuple, set, frozenset) and isinstance(step, int)
        ):
            return (args[1] if origin in (dict, Mapping) else args[0]), None
        elif hasattr(origin, "__mro__") and issubclass(origin, Mapping) and len(args) == 2:
            return args[1], None
    return None


def _options(kind: Any) -> tuple[Any, ...]:
    if get_origin(kind) is Annotated:
        return _options(get_args(kind)[0])
    if get_origin(kind) in (Union, types.UnionType):
        return tuple(option for part in get_args(kind) for option in _options(part))
    return (kind,)


def _key_phrase(model: type[BaseModel], loc: Loc) -> str:
    """Return what the keys of the mapping at *loc* are expected to be."""
    for option in _options(_steps(model, loc)[0]):
        if len(get_args(option)) == 2:
            return _describe_kind(get_args(option)[0])
    return "a word"


def _owner(model: type[BaseModel], loc: Loc) -> Any:
    kind, _ = _steps(model, loc)
    return next((o for o in _options(kind) if isinstance(o, type) and issubclass(o, BaseModel)), None)


def _choices_at(model: type[BaseModel], loc: Loc) -> list[str]:
    return [choice for option in _options(_steps(model, loc)[0]) for choice in _choices(option)]


def _choices(option: Any) -> list[str]:
    if get_origin(option) is Literal:
        return [str(value) for value in get_args(option)]
    if isinstance(option, type) and issubclass(option, Enum):
        return [str(member.value) for member in option]
    return []


def _describe_at(model: type[BaseModel], loc: Loc) -> str:
    kind, info = _steps(model, loc)
    return _describe_kind(kind, info.metadata if info else ())


def _describe_kind(kind: Any, metadata: Iterable[Any] = ()) -> str:
    metadata = [*metadata, *getattr(kind, "__metadata__", ())]
    for extra in metadata:
        if isinstance(extra, Expected):
            return extra.phrase
    return _join(list(dict.fromkeys(_describe(option, metadata) for option in _options(kind)))) or "a value"


def _describe(option: Any, metadata: list[Any]) -> str:
    choices = _choices(option)
    if choices:
        return _join([repr(choice) for choice in choices])
    if option is types.NoneType:
        return ""
    origin, args = get_origin(option), get_args(option)
    if origin in (list, tuple, set, frozenset):
        return f"a list of {_MANY.get(args[0], 'items')}" if args else "a list"
    if origin is not None or option is dict:
        return "keys and values"
    if isinstance(option, type) and issubclass(option, BaseModel):
        return f"keys and values ({_list_keys(option)})"
    word = _ONE.get(option, "a value") if isinstance(option, type) else "a value"
    return f"{word}{_limits(metadata)}" if option in (int, float) else word


def _limits(metadata: list[Any]) -> str:
    limits = {key: getattr(m, key) for m in metadata for key in ("ge", "gt", "le", "lt") if hasattr(m, key)}
    if "ge" in limits and "le" in limits:
        return f" {limits['ge']} to {limits['le']}"
    words = {"gt": "more than {}", "ge": "{} or more", "lt": "less than {}", "le": "at most {}"}
    said = [word.format(limits[key]) for key, word in words.items() if key in limits]
    return f", {' and '.join(said)}" if said else ""


def _join(words: list[str]) -> str:
    words = [word for word in words if word]
    if len(words) <= 1:
        return "".join(words)
    return f"{', '.join(words[:-1])} or {words[-1]}"
