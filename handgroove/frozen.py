"""Frozen dataclasses that are made by the hundred thousand, made as quickly as plain ones.

Python's own set each field past the lock, which takes four times as long as an assignment. Here a new value is of a
class without the lock while its fields are set, and from then on of its own.
"""

from __future__ import annotations

from dataclasses import MISSING, fields
from functools import update_wrapper
from typing import Any, TypeVar

Value = TypeVar("Value")


def quick(cls: type[Value]) -> type[Value]:
    """Return *cls*, a frozen dataclass with slots whose defaults are values, with a way to be made quickly."""
    names = [field.name for field in fields(cls) if field.default_factory is MISSING]  # type: ignore[arg-type]
    unlocked = type(
        cls.__name__,
        (cls,),
        {"__slots__": (), "__setattr__": object.__setattr__, "__delattr__": object.__delattr__},
    )
    source = "\n ".join(
        [
            f"def __init__(self, {', '.join(names)}):",
            "become(self, '__class__', unlocked)",
            *(f"self.{name} = {name}" for name in names),
            "self.__class__ = cls",
        ]
    )
    space: dict[str, Any] = {"become": object.__setattr__, "unlocked": unlocked, "cls": cls}
    exec(source, space)
    init, plain = space["__init__"], cls.__init__
    init.__defaults__ = plain.__defaults__
    cls.__init__ = update_wrapper(init, plain)  # type: ignore[method-assign]
    return cls
