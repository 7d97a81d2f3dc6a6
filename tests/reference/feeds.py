"""Reads the corpus of the Python library `feedparser` by the library itself.

The corpus is the folder `tests` of its source distribution. Standard output is JSON: a list with, for
each file, its path, the content type and the address that it is served under, whether a strict parser
took it for well-formed XML, and the title and entries that were read.

With the argument `damaged` it reads copies of three feeds, of ten entries each, that are damaged in one
place: cut off, or with a tag left out or a character put in. For each copy there are its text and the
entries that were read. With `dates` it reads the dates of the library's own tests.
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


ENTRIES = {
    "rss": (
        "<rss version='2.0'><channel><title>Quay</title>\n",
        "<item><guid>urn:x:e{0}</guid><title>Tide {0}</title><link>http://quay.example.org/{0}</link>"
        "<description>High &lt;b&gt;water&lt;/b&gt; at {0}.</description></item>\n",
        "</channel></rss>\n",
    ),
    "rdf": (
        "<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#' "
        "xmlns='http://purl.org/rss/1.0/'><channel><title>Quay</title></channel>\n",
        "<item rdf:about='urn:x:e{0}'><title>Tide {0}</title><link>http://quay.example.org/{0}</link>"
        "<description>High water at {0}.</description></item>\n",
        "</rdf:RDF>\n",
    ),
    "atom": (
        "<feed xmlns='http://www.w3.org/2005/Atom'><title>Quay</title>\n",
        "<entry><id>urn:x:e{0}</id><title>Tide {0}</title><link href='http://quay.example.org/{0}'/>"
        "<content type='xhtml'><div>High <b>water</b> at {0}.</div></content></entry>\n",
        "</feed>\n",
    ),
}


def damaged():
    """Copies of the feeds with one fault each, as (kind, text)."""
    for start, entry, end in ENTRIES.values():
        whole = start + "".join(entry.format(number) for number in range(10)) + end
        for cut in range(len(start), len(whole), 37):
            yield "cut", whole[:cut]
        for tag in list(re.finditer(r"<[^>]*>", whole))[1:]:
            yield "without a tag", whole[: tag.start()] + whole[tag.end() :]
        for place in range(len(start), len(whole), 41):
            for character in "<&>\"'\x0b":
                yield "with " + repr(character), whole[:place] + character + whole[place:]


def read_damaged():
    sent = {"content-location": ADDRESS, "content-type": "text/xml; charset=utf-8"}
    for kind, text in damaged():
        found = feedparser.parse(text.encode("utf-8"), response_headers=sent)
        ids = [entry.get("id") for entry in found.entries]
        yield {"kind": kind, "text": text, "ids": ids}


def read_dates():
    """The spellings of dates in the library's tests, each with its second where it can be read."""
    (root,) = HERE.glob("feedparser-*/tests")
    sys.path.insert(0, str(root))
    import runtests

    for spellings in runtests.date_tests.values():
        for text, parts in spellings:
            yield {"text": text, "seconds": calendar.timegm(parts) if parts else None}


def main():
    warnings.simplefilter("ignore")
    if sys.argv[1:] == ["dates"]:
        json.dump(list(read_dates()), sys.stdout)
        return
    if sys.argv[1:] == ["damaged"]:
        json.dump(list(read_damaged()), sys.stdout)
        return
    (root,) = HERE.glob("feedparser-*/tests")
    paths = sorted(path for path in root.rglob("*") if path.suffix in SUFFIXES)
    json.dump([read(path, root) for path in paths], sys.stdout)


if __name__ == "__main__":
    main()
