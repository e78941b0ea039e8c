"""YAML files that musicians write: read with the place of every word, so that errors can point at it.

``read_yaml(path, model)`` is all that a reader of player, kit or control files needs::

    class PlayerFile(FileModel):          # from handgroove.yamlfile.file_model
        name: str
        left_span: int = Field(ge=5, le=20, description="...")   # written `left span:` in the file

    settings = read_yaml("me.yaml", PlayerFile)
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from handgroove.yamlfile.compose import SIZE_LIMIT_BYTES, load_yaml, parse_document
from handgroove.yamlfile.document import Document

if TYPE_CHECKING:
    from pydantic import BaseModel

    Model = TypeVar("Model", bound=BaseModel)

__all__ = ["SIZE_LIMIT_BYTES", "Document", "check_document", "load_yaml", "parse_document", "read_yaml"]


def read_yaml(path: str | Path, model: type[Model]) -> Model:
    """Read the YAML file at *path* as *model*; raise HandgrooveError with all its problems, in file order."""
    return check_document(load_yaml(path), model)


def check_document(document: Document, model: type[Model]) -> Model:
    """Return *document* as *model*; raise HandgrooveError with all of its problems, in file order."""
    from handgroove.yamlfile.explain import validate

    return validate(document, model)
