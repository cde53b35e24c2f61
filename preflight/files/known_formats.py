"""What a file is, by its first bytes: to name what was found where something else was wanted."""

from __future__ import annotations

#: First bytes and names. Sources: the formats' own specifications.
_BEGINNINGS = (
    (b"\x89PNG", "a PNG that is cut short or whose header is damaged"),
    (b"\xff\xd8\xff", "a JPEG whose header is damaged"),
    (b"II*\0", "a TIFF whose channels are of a kind that is not read"),
    (b"MM\0*", "a TIFF whose channels are of a kind that is not read"),
    (b"II+\0", "a BigTIFF that cannot be read"), (b"MM\0+", "a BigTIFF that cannot be read"),
    (b"%PDF-", "a PDF, whose name should end in .pdf,"), (b"%!PS", "PostScript (EPS)"),
    (b"v/1\x01", "an OpenEXR picture"), (b"#?RADIANCE", "a Radiance HDR picture"),
    (b"8BPS", "a PSD that cannot be read"), (b"PK\x03\x04", "a ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"), (b"Rar!", "a RAR archive"), (b"7z\xbc\xaf", "a 7z archive"),
    (b"\xff\x0a", "a JPEG XL picture"), (b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (b"\0\0\0\x0cjP  ", "a JPEG 2000 picture that cannot be read"),
    (b"\0\0\x01\0", "an icon (ICO)"), (b"GIF8", "a GIF whose header is damaged"),
    (b"FUJIFILM", "a camera's raw file (RAF)"), (b"IIU\0", "a camera's raw file (RW2)"),
    (b"wOFF", "a font"), (b"OTTO", "a font"), (b"gimp xcf", "an XCF drawing"))
_BRANDS = {b"heic": "HEIC", b"heix": "HEIC", b"hevc": "HEIC", b"heim": "HEIC", b"mif1": "HEIF",
           b"msf1": "HEIF", b"avif": "an AVIF", b"crx ": "CR3"}


def format_found(head: bytes) -> str | None:
    """A file's format in words; None where its first bytes tell nothing.

    Parameters
    ----------
    head : bytes
        The first 64 bytes or more.
    """
    if not head:
        return "an empty file"
    if head[4:8] == b"ftyp":
        brand = _BRANDS.get(head[8:12])
        if brand == "an AVIF":
            return "an AVIF that cannot be read"
        return {None: "a video or other MPEG-4 file", "CR3": "a camera's raw file (CR3)"}.get(
            brand, f"{brand}, whose free decoders come under a licence that topsheet does not take")
    if head[:4] == b"RIFF":
        return ("a WebP that cannot be read" if head[8:12] == b"WEBP"
                else "an audio or video file (RIFF)")
    told = next((name for begins, name in _BEGINNINGS if head.startswith(begins)), None)
    if told is None and head.lstrip().startswith((b"<svg", b"<?xml")):
        return "an SVG or other XML, which is drawn as line work or a flat colour,"
    return told
