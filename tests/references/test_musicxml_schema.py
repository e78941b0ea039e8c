"""Every score is valid MusicXML.

Source: W3C Music Notation Community Group, *MusicXML 4.0* (June 2021), ``musicxml.xsd``, as shipped by the ``musicxml``
package; ``xlink.xsd`` as shipped by ``xmlschema``. ``xml.xsd`` is written here as far as MusicXML uses it.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from handgroove.output.score import Options, format_musicxml, make_sheet
from handgroove.part import Part
from tests.output.score.parts import ALL, with_groove
from tests.output.score.translated import CHARTS, pattern_names, translated

_XML_XSD = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/>
<xs:attribute name="space"><xs:simpleType><xs:restriction base="xs:NCName"><xs:enumeration value="default"/>
<xs:enumeration value="preserve"/></xs:restriction></xs:simpleType></xs:attribute></xs:schema>"""


def _folder(package: str) -> Path:
    """Return where an installed *package* lies, without importing it."""
    spec = find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent


class _Local(etree.Resolver):  # type: ignore[misc]  # lxml ships no types
    """Answers the schema's imports from files of installed packages, never from the network."""

    def resolve(self, system_url: str, public_id: str, context: Any) -> Any:
        if system_url.endswith("xml.xsd"):
            return self.resolve_string(_XML_XSD, context)
        if system_url.endswith("xlink.xsd"):
            path = next(_folder("xmlschema").glob("schemas/XLINK/xlink*.xsd"))
            text = re.sub(r"<!DOCTYPE.*?\]>", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
            return self.resolve_string(text, context)
        return None


@cache
def schema() -> Any:
    """Return the MusicXML 4.0 schema."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    path = next(_folder("musicxml").rglob("musicxml_4_0.xsd"))
    return etree.XMLSchema(etree.parse(path, parser))


def check(part: Part, options: Options | None = None) -> None:
    """Raise where the part's MusicXML breaks the schema."""
    text = format_musicxml(make_sheet(part, options or Options()))
    schema().assertValid(etree.fromstring(text.encode("utf-8")))


def test_the_schema_finds_a_fault() -> None:
    """A note whose parts stand in the wrong order is refused, so that this check can fail."""
    text = format_musicxml(make_sheet(ALL[0]()))
    broken = re.sub(r"(<duration>\d+</duration>)(<voice>1</voice>)", r"\2\1", text, count=1)
    assert not schema().validate(etree.fromstring(broken.encode("utf-8")))


@pytest.mark.parametrize("make", ALL)
def test_made_by_hand(make: Any) -> None:
    """Swing, odd metres, upbeats, two voices, pedal and grace notes are valid."""
    check(make(), Options(fingerings="all", simile=True))


def test_drum_line() -> None:
    """The drum line with brackets and legend is valid."""
    check(with_groove(), Options(drum_cue=True, ghost_left_out=True))


@pytest.mark.parametrize("chart_name", CHARTS)
def test_every_pattern(chart_name: str) -> None:
    """Every shipped pattern over every chart is valid, with the drum line."""
    for name in pattern_names():
        check(translated(name, chart_name), Options(drum_cue=True))
