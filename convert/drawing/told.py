"""What files tell of themselves to programs that list them: title, maker, rights, in each format's words."""

from xml.sax.saxutils import escape

from convert.drawing.labels import plain
from convert.piece.pattern import Pattern

PROGRAM = "combweave"
# Dublin Core, and the namespaces of ISO 16684-1 (XMP).
_RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
_DC = "http://purl.org/dc/elements/1.1/"
_XMP = "http://ns.adobe.com/xap/1.0/"
_XMP_RIGHTS = "http://ns.adobe.com/xap/1.0/rights/"
# The mark by which a packet of XMP is found in a file (ISO 16684-1, 7.3.2).
_PACKET = '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'


def png_words(pattern: Pattern) -> dict[str, str]:
    """Return what a PNG tells, by the keywords of W3C, Portable Network Graphics, third edition, 11.3.3.1."""
    imprint = pattern.imprint
    words = {
        "Title": plain(pattern.title),
        "Author": plain(imprint.maker),
        "Copyright": plain(imprint.rights),
        "Software": PROGRAM,
    }
    return {keyword: text for keyword, text in words.items() if text}


def description(pattern: Pattern) -> str:
    """Return what an SVG tells: an RDF description in Dublin Core, on one line."""
    return _rdf(_about(pattern), "")


def xmp(pattern: Pattern) -> bytes:
    """Return what a PDF tells, as a packet of XMP in UTF-8."""
    terms = _languages("xmpRights:UsageTerms", pattern.imprint.licence)
    about = _about(pattern) + terms + f"<xmp:CreatorTool>{PROGRAM}</xmp:CreatorTool>"
    spaces = f' xmlns:xmp="{_XMP}" xmlns:xmpRights="{_XMP_RIGHTS}"'
    meta = f'<x:xmpmeta xmlns:x="adobe:ns:meta/">{_rdf(about, spaces)}</x:xmpmeta>'
    return f'{_PACKET}\n{meta}\n<?xpacket end="r"?>'.encode()


def _rdf(about: str, spaces: str) -> str:
    return (
        f'<rdf:RDF xmlns:rdf="{_RDF}" xmlns:dc="{_DC}"{spaces}>'
        f'<rdf:Description rdf:about="">{about}</rdf:Description></rdf:RDF>'
    )


def _about(pattern: Pattern) -> str:
    imprint = pattern.imprint
    maker = escape(plain(imprint.maker))
    creator = f"<dc:creator><rdf:Seq><rdf:li>{maker}</rdf:li></rdf:Seq></dc:creator>" if maker else ""
    year = imprint.year
    date = "" if year is None else f"<dc:date><rdf:Seq><rdf:li>{year:04}</rdf:li></rdf:Seq></dc:date>"
    title = _languages("dc:title", pattern.title)
    return title + creator + date + _languages("dc:rights", imprint.rights)


def _languages(name: str, text: str) -> str:
    """Return a text that may stand in several languages, in the one it has; nothing for an empty one."""
    words = escape(plain(text))
    return (
        f'<{name}><rdf:Alt><rdf:li xml:lang="x-default">{words}</rdf:li></rdf:Alt></{name}>' if words else ""
    )
