"""The outlines of an OPML file as Python's own XML parser (expat) reads it.

Takes the file on standard input, and prints as JSON its feeds in their order: the texts of the outlines around
each, and its attributes, those of a namespace as `{address}name`.
"""

import json
import sys
import xml.etree.ElementTree as ElementTree


def feeds(element, around):
    """The feeds in an element."""
    for outline in element.findall("outline"):
        if "xmlUrl" in outline.attrib:
            yield {"around": around, "attributes": outline.attrib}
        yield from feeds(outline, [*around, outline.get("text", "")])


root = ElementTree.fromstring(sys.stdin.buffer.read())
assert root.tag == "opml" and root.get("version") == "2.0", root.attrib
assert root.findtext("head/title") is not None
json.dump(list(feeds(root.find("body"), [])), sys.stdout)
