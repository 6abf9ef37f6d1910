"""XML of others is read as plain elements: nothing in it unfolds, and nothing in it names another file."""

from __future__ import annotations

import pytest

from posekit.budgets import XML_BYTES, XML_DEPTH, XML_ELEMENTS
from posekit.errors import PosekitError
from posekit.exchange.xmltree import xml_tree


def refused(content: bytes) -> str:
    with pytest.raises(PosekitError) as told:
        xml_tree(content, "a.xml")
    return str(told.value)


def test_elements_come_with_their_attributes_and_lines_in_the_order_of_the_file() -> None:
    root = xml_tree(b'<?xml version="1.0"?>\n<a>\n<b x="1&amp;2"/>\n<c><d/></c></a>', "a.xml")
    told = [(each.tag, dict(each.attributes), each.line) for each in root.walk()]
    assert told == [("a", {}, 2), ("b", {"x": "1&2"}, 3), ("c", {}, 4), ("d", {}, 4)]
    assert [each.tag for each in root.every("c")] == ["c"]
    assert root.one("e") is None


@pytest.mark.parametrize(
    "declared",
    [
        b'<!DOCTYPE a [<!ENTITY x "xxxxxxxxxx"><!ENTITY y "&x;&x;&x;&x;&x;&x;&x;&x;&x;&x;">]>',  # laughs
        b'<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
        b'<!DOCTYPE a SYSTEM "http://example.com/a.dtd">',
        b"<!DOCTYPE a>",
    ],
)
def test_a_doctype_is_refused_before_it_is_obeyed(declared: bytes) -> None:
    said = refused(b'<?xml version="1.0"?>\n' + declared + b"<a>&x;&y;</a>")
    assert said == "a.xml:2: has a DOCTYPE, which can name other files and is not obeyed; take it out"


def test_entities_that_no_one_declared_are_no_xml() -> None:
    assert "undefined entity" in refused(b"<a>&x;</a>")


def test_what_is_too_large_too_deep_or_too_much_is_refused() -> None:
    assert "MiB at most" in refused(b" " * (XML_BYTES + 1))
    assert f"more than {XML_DEPTH} deep" in refused(b"<a>" * (XML_DEPTH + 1) + b"</a>" * (XML_DEPTH + 1))
    assert xml_tree(b"<a>" * XML_DEPTH + b"</a>" * XML_DEPTH, "a.xml").tag == "a"
    assert f"more than {XML_ELEMENTS}" in refused(b"<a>" + b"<b/>" * XML_ELEMENTS + b"</a>")


def test_an_encoding_that_no_one_knows_is_told() -> None:
    assert "encoding" in refused(b'<?xml version="1.0" encoding="klingon"?><a/>')
    assert (
        xml_tree('<?xml version="1.0" encoding="latin-1"?><a n="é"/>'.encode("latin-1"), "a").attributes["n"]
        == "é"
    )
