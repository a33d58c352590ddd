"""The language of a PDF file, which matplotlib does not write: a screen reader needs it to choose its voice."""

from __future__ import annotations

import re

LANGUAGE = "en"
_END = re.compile(rb"trailer\s*<<(.*)>>\s*startxref\s+(\d+)\s+%%EOF\s*$", re.DOTALL)


def with_language(content: bytes) -> bytes:
    """The PDF file `content`, naming its language; a viewer then shows its title too, not the name of the file.

    Nothing before is changed: the catalogue is written once more behind it, as an incremental update (ISO 32000-1,
    7.5.6) with Lang (14.9.2) and DisplayDocTitle (12.2). ValueError for what does not end as a PDF with a plain table
    of references does.
    """
    end = _END.search(content, content.rfind(b"trailer"))
    root = end and re.search(rb"/Root (\d+) 0 R", end[1])
    catalogue = root and re.search(rb"\n%s 0 obj\s*<<(.*?)>>\s*endobj" % root[1], content, re.DOTALL)
    if not catalogue:
        raise ValueError("no catalogue found: give a whole PDF file with a plain table of references")
    more = b"/Lang (%s) /ViewerPreferences << /DisplayDocTitle true >>" % LANGUAGE.encode()
    again = b"%s 0 obj\n<<%s%s >>\nendobj\n" % (root[1], catalogue[1], more)
    table = b"xref\n%s 1\n%010d 00000 n \ntrailer\n<<%s/Prev %s >>\n" % (root[1], len(content), end[1], end[2])
    return content + again + table + b"startxref\n%d\n%%%%EOF\n" % (len(content) + len(again))
