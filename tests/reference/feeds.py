"""Reads the corpus of the Python library `feedparser` by the library itself.

The corpus is the folder `tests` of its source distribution. Standard output is JSON: a list with, for
each file, its path, the content type and the address that it is served under, whether a strict parser
took it for well-formed XML, and the title and entries that were read.
"""

import calendar
import html.parser
import json
import pathlib
import re
import sys
import urllib.parse
import warnings

HERE = pathlib.Path(__file__).parent / "python_packages"
sys.path.insert(0, str(HERE / "installed"))

import feedparser  # noqa: E402
from feedparser.exceptions import CharacterEncodingOverride, NonXMLContentType  # noqa: E402

ADDRESS = "http://corpus.example.org/feeds/feed.xml"
# A test names the headers of its file in a comment, one a line.
HEADER = re.compile(rb"^Header:\s+([^:]+):(.+)$", re.MULTILINE)
SUFFIXES = {".xml", ".json"}


class Plain(html.parser.HTMLParser):
    """The text of HTML."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.pieces = []

    def handle_data(self, data):
        self.pieces.append(data)


def plain(detail):
    """A title as plain text on one line, or nothing."""
    if not detail or detail.get("value") is None:
        return None
    text = detail["value"]
    if detail.get("type") != "text/plain":
        parser = Plain()
        parser.feed(text)
        parser.close()
        text = "".join(parser.pieces)
    return " ".join(text.split()) or None


def seconds(entry):
    """The first of an entry's dates, as seconds of Unix time."""
    for name in ("published_parsed", "updated_parsed", "created_parsed"):
        if entry.get(name):
            return calendar.timegm(entry[name])
    return None


def headers_of(data):
    """The headers under which a file is to be served, names in lower case."""
    found = {}
    for name, value in HEADER.findall(data):
        found[name.decode("utf-8").strip().lower()] = value.decode("utf-8").strip()
    return found


def read(path, root):
    data = path.read_bytes()
    headers = headers_of(data)
    address = urllib.parse.urljoin(ADDRESS, headers.get("content-location", ""))
    if not address.startswith("http"):
        address = ADDRESS
    sent = {"content-location": address}
    if "content-type" in headers:
        sent["content-type"] = headers["content-type"]
    found = feedparser.parse(data, response_headers=sent)
    # These two say that a label is wrong, not that the XML is.
    trouble = found.get("bozo_exception") if found.bozo else None
    mislabelled = isinstance(trouble, (CharacterEncodingOverride, NonXMLContentType))
    title = plain(found.feed.get("title_detail"))
    return {
        "path": str(path.relative_to(root)),
        "content_type": headers.get("content-type"),
        "address": address,
        "well_formed": trouble is None or mislabelled,
        "is_feed": bool(found.get("version") or found.entries or title),
        "title": title,
        "entries": [
            {
                "title": plain(entry.get("title_detail")),
                "link": entry.get("link") or None,
                "id": (entry.get("id") or "").strip() or None,
                "seconds": seconds(entry),
            }
            for entry in found.entries
        ],
    }


def main():
    warnings.simplefilter("ignore")
    (root,) = HERE.glob("feedparser-*/tests")
    paths = sorted(path for path in root.rglob("*") if path.suffix in SUFFIXES)
    json.dump([read(path, root) for path in paths], sys.stdout)


if __name__ == "__main__":
    main()
