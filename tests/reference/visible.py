"""Reads the visible text of HTML by the Python library html5lib, an independent parser by the HTML standard.

Standard input is JSON: a list of texts of HTML. Standard output is JSON: for each, the text that stands in it
as a browser without style sheets would show it.

Left out are elements that show nothing of their text (the standard's rendering section, 15.3.1, "hidden
elements"), what stands in for what cannot be shown, controls of forms, and what its attributes hide. What stands
beside MathML is left to the formulas' own tests: its words are not the same on one line.
"""

import json
import pathlib
import re
import sys
import warnings

HERE = pathlib.Path(__file__).parent / "python_packages"
sys.path.insert(0, str(HERE / "installed"))
warnings.simplefilter("ignore")

import html5lib  # noqa: E402

UNSHOWN = set(
    "area base basefont datalist head link meta noembed noframes param rp script style template title "
    "noscript iframe object video audio canvas svg math select textarea button option input dialog".split()
)
HIDING = re.compile(
    r"display:none|visibility:hidden|font-size:0(?![.\d])|opacity:0(?![.\d])|text-indent:-\d{3,}"
)
INLINE = set(
    "a abbr acronym b bdi bdo big cite code data del dfn em font i img ins kbd label mark nobr output q rt "
    "ruby s samp small span strike strong sub sup time tt u var wbr".split()
)


def hidden(element):
    style = re.sub(r"\s", "", element.get("style", "")).lower()
    return (
        "hidden" in element.attrib
        or element.get("aria-hidden", "").strip().lower() == "true"
        or HIDING.search(style) is not None
    )


def shown(root):
    """The text of a tree, with a space where a block begins or ends."""
    pieces = []
    waiting = [("enter", root)]
    while waiting:
        what, node = waiting.pop()
        if what == "text":
            pieces.append(node)
            continue
        if not isinstance(node.tag, str) or node.tag in UNSHOWN or hidden(node):
            continue
        space = " " if node.tag not in INLINE else ""
        waiting.append(("text", space))
        for child in reversed(node):
            waiting.append(("text", child.tail or ""))
            waiting.append(("enter", child))
        waiting.append(("text", space + (node.text or "")))
    return "".join(pieces)


def text(html):
    return shown(html5lib.parse(html, namespaceHTMLElements=False))


json.dump([text(html) for html in json.load(sys.stdin)], sys.stdout)
