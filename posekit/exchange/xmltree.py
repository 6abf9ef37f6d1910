"""XML of others as a tree of plain elements, each with its line; never with a DOCTYPE, and within budgets.

A DOCTYPE is where XML grows dangerous: it can make a short file unfold without end and name files to be read in.
No file that posekit takes needs one, so it is refused before anything of it is obeyed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from posekit.budgets import XML_BYTES, XML_DEPTH, XML_ELEMENTS
from posekit.errors import PosekitError, error
from posekit.paths import too_large
from posekit.text import listed


@dataclass(slots=True)
class Element:
    """An element: its tag as written, prefix included, what stands in it and the line it begins in."""

    tag: str
    attributes: Mapping[str, str]
    line: int
    children: list[Element] = field(default_factory=list)

    def every(self, tag: str) -> list[Element]:
        """The children of this tag, in the order of the file."""
        return [child for child in self.children if child.tag == tag]

    def one(self, tag: str) -> Element | None:
        """The first child of this tag."""
        return next((child for child in self.children if child.tag == tag), None)

    def walk(self) -> Iterator[Element]:
        """This element and all that stand in it, in the order of the file."""
        waiting = [self]
        # Ends: every element is taken out once, and they hold each other as a tree.
        while waiting:
            element = waiting.pop()
            yield element
            waiting += reversed(element.children)


def xml_tree(content: bytes, name: str) -> Element:
    """The root element of a file; `name` is how messages call it.

    Raises PosekitError, with the line, for what is no XML, holds a DOCTYPE or goes beyond the budgets.
    """
    if len(content) > XML_BYTES:
        raise too_large(len(content), XML_BYTES, name, "such a file of XML")
    parser = expat.ParserCreate()
    reading = _Reading(parser, name)
    parser.StartElementHandler = reading.start
    parser.EndElementHandler = reading.end
    parser.StartDoctypeDeclHandler = reading.doctype
    try:
        parser.Parse(content, True)
    except expat.ExpatError as problem:
        reason = expat.ErrorString(problem.code)
        sentence = f"is not XML ({reason}, column {problem.offset + 1}); mend it there, or export it again"
        raise PosekitError([error("not-xml", "", sentence, file=name, line=problem.lineno)]) from problem
    except (LookupError, ValueError) as problem:  # an encoding that Python does not know, or not this way
        sentence = f"is in an encoding that cannot be read ({problem}); save it as UTF-8"
        raise PosekitError([error("not-xml", "", sentence, file=name, line=1)]) from problem
    return reading.root


class _Reading:
    """What the parser tells, put together."""

    def __init__(self, parser: expat.XMLParserType, name: str) -> None:
        self.parser, self.name, self.count = parser, name, 0
        self.top = Element("", {}, 0)
        self.open = [self.top]

    @property
    def root(self) -> Element:
        return self.top.children[0]

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > XML_ELEMENTS:
            self._refuse("too-many", f"has more than {XML_ELEMENTS} elements; export less at a time")
        if len(self.open) > XML_DEPTH:
            within = listed((each.tag for each in self.open[1:]), 4)
            self._refuse("too-deep", f"has elements more than {XML_DEPTH} deep, in {within}; export it again")
        element = Element(tag, attributes, self.parser.CurrentLineNumber)
        self.open[-1].children.append(element)
        self.open.append(element)

    def end(self, tag: str) -> None:
        self.open.pop()

    def doctype(self, *_: object) -> None:
        self._refuse("doctype", "has a DOCTYPE, which can name other files and is not obeyed; take it out")

    def _refuse(self, code: str, sentence: str) -> NoReturn:
        line = self.parser.CurrentLineNumber
        raise PosekitError([error(code, "", sentence, file=self.name, line=line)])
