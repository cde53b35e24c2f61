"""What a PDF page is made of, found by walking its resources: fonts, spot colours, overprint.

Nothing is drawn here. All that is unpacked is bounded, however often a form holds others.
Source: ISO 32000-1, clauses 7.4 (filters), 7.8 (resources), 8.6.6 (special colour spaces), 11
(transparency).
"""

from __future__ import annotations

import base64
import binascii
import re
import zlib
from dataclasses import dataclass, field
from typing import Any

import pikepdf

#: What the contents of a page may unpack to, forms counted as often as they are drawn.
MOST_DRAWN_BYTES = 200_000_000
#: Pixels of all pictures of a page.
MOST_PIXELS = 600_000_000
#: Coded contents that can only be unpacked whole.
_MOST_CODED_WHOLE = 100_000
_MOST_PARTS, _MOST_DEPTH = 50_000, 30
_DRAWS = re.compile(rb"/([^\s/\[\]()<>{}%]+)\s+Do\b")
#: A pattern or a shading is painted by its name.
_PATTERNS = re.compile(rb"/[^\s/]+\s+(?:scn|SCN|sh)\b")
#: Letters in brackets, and what sets, saves, restores and uses a font.
_STRING = re.compile(rb"\((?:\\.|[^\\()])*\)", re.DOTALL)
_TEXT_STATE = re.compile(
    rb"/(?P<font>[^\s/\[\]()<>{}%]+)\s+[-+\d.]+\s+Tf\b|(?P<save>\bq\b)|(?P<restore>\bQ\b)"
    rb"|(?P<show>\bT[jJ]\b|\0\s*['\"])")
_MOST_NESTED = 5
_PLAIN_BLENDS = {"/Normal", "/Compatible"}


class PdfFault(ValueError):
    """A part of a PDF that is not read; the message says which."""


@dataclass(slots=True)
class PageContents:
    """What a page draws with.

    Attributes
    ----------
    absent_fonts : list of str
        Fonts that the file names and does not hold.
    spots : list of str
        Names of spot colours.
    blends, overprints, has_layers, has_patterns, has_cmyk : bool
        Whether anything in it is transparent, set to overprint, in a layer that can be hidden,
        painted with a pattern or gradient, or in CMYK.
    """

    absent_fonts: list[str] = field(default_factory=list)
    spots: list[str] = field(default_factory=list)
    blends: bool = False
    overprints: bool = False
    has_layers: bool = False
    has_patterns: bool = False
    has_cmyk: bool = False


def page_contents(page: pikepdf.Page) -> PageContents:
    """Look through a page.

    Raises
    ------
    PdfFault
        When there is more of it than a page holds, or parts hold themselves.
    """
    walk = _Walk(found=PageContents())
    drawn = unpacked(page.obj.get("/Contents"))
    resources = page.obj.get("/Resources") or page.resources
    if "/Group" in page.obj and "/CS" in page.obj.Group:
        walk.space(page.obj.Group.CS, 0)
    walk.take(drawn, resources, 0)
    return walk.found


@dataclass(slots=True)
class _Walk:
    found: PageContents
    pixels: int = 0
    parts: int = 0
    sizes: dict[tuple[int, int], int] = field(default_factory=dict)
    seen: set[tuple[int, int]] = field(default_factory=set)

    def take(self, drawn: bytes, resources: Any, depth: int) -> int:
        """Bytes that contents and all the forms they draw come to."""
        if depth > _MOST_DEPTH:
            raise PdfFault("forms that contain themselves, or too many levels of them")
        self.found.has_cmyk |= re.search(rb"[\d.]\s+[kK]\s", drawn) is not None
        self.found.has_patterns |= _PATTERNS.search(drawn) is not None
        size = len(drawn)
        forms = self._resources(resources, depth, drawn) \
            if isinstance(resources, pikepdf.Dictionary) else {}
        for name in _DRAWS.findall(drawn):
            size += forms.get(name, 0)
            if size > MOST_DRAWN_BYTES:
                raise PdfFault(f"contents of more than {MOST_DRAWN_BYTES // 1_000_000} MB")
        return size

    def _resources(self, resources: Any, depth: int, drawn: bytes) -> dict[bytes, int]:
        for name in sorted(_fonts_shown(drawn)):
            font = resources.get("/Font", {}).get(f"/{name.decode('latin-1')}")
            if isinstance(font, pikepdf.Dictionary) and self._is_new(font):
                self._font(font, depth)
        for state in _values(resources, "/ExtGState"):
            self._state(state, depth)
        for space in _values(resources, "/ColorSpace"):
            self.space(space, depth)
        for pattern in _values(resources, "/Pattern"):
            if self._is_new(pattern) and isinstance(pattern, pikepdf.Stream):
                self.take(unpacked(pattern), pattern.get("/Resources"), depth + 1)
        for layer in _values(resources, "/Properties"):
            self.found.has_layers |= layer.get("/Type") in ("/OCG", "/OCMD")
        named = resources.get("/XObject")
        if not isinstance(named, pikepdf.Dictionary):
            return {}
        return {name[1:].encode("latin-1", "replace"): self._object(part, depth)
                for name, part in named.items()}

    def _object(self, part: Any, depth: int) -> int:
        if not isinstance(part, pikepdf.Stream):
            return 0
        key = part.objgen
        if key in self.sizes:
            if self.sizes[key] < 0:
                raise PdfFault("forms that contain themselves, or too many levels of them")
            return self.sizes[key]
        self.parts += 1
        if self.parts > _MOST_PARTS:
            raise PdfFault(f"more than {_MOST_PARTS:,} parts")
        self.found.has_layers |= "/OC" in part
        if part.get("/Subtype") == "/Image":
            self._picture(part, depth)
            self.sizes[key] = 0
            return 0
        self.sizes[key] = -1
        group = part.get("/Group")
        if isinstance(group, pikepdf.Dictionary) and "/CS" in group:
            self.space(group.CS, depth)
        self.sizes[key] = self.take(unpacked(part), part.get("/Resources"), depth + 1)
        return self.sizes[key]

    def _picture(self, part: Any, depth: int) -> None:
        self.pixels += abs(int(part.get("/Width", 0)) * int(part.get("/Height", 0)))
        if self.pixels > MOST_PIXELS:
            raise PdfFault(f"pictures of more than {MOST_PIXELS // 1_000_000} megapixels")
        self.found.blends |= "/SMask" in part
        self.space(part.get("/ColorSpace"), depth)
        if "/SMask" in part:
            self._object(part.SMask, depth)

    def _state(self, state: Any, depth: int) -> None:
        mask, blend = state.get("/SMask", "/None"), state.get("/BM", "/Normal")
        names = [blend] if not isinstance(blend, pikepdf.Array) else list(blend)[:1]
        self.found.blends |= mask != "/None" or any(name not in _PLAIN_BLENDS for name in names)
        self.found.blends |= any(float(state.get(key, 1)) < 1 for key in ("/ca", "/CA"))
        self.found.overprints |= any(bool(state.get(key, False)) for key in ("/op", "/OP"))
        if isinstance(mask, pikepdf.Dictionary) and isinstance(mask.get("/G"), pikepdf.Stream):
            self._object(mask.G, depth)

    def space(self, space: Any, depth: int) -> None:
        """Note a colour space, and the spaces that it is made of."""
        self.found.has_cmyk |= space == "/DeviceCMYK"
        if depth > _MOST_DEPTH or not isinstance(space, pikepdf.Array) or len(space) < 2:
            return
        kind = str(space[0])
        if kind == "/Separation":
            name = spot_name(space)
            if name not in self.found.spots and name not in ("All", "None"):
                self.found.spots.append(name)
        elif kind == "/DeviceN":
            self.found.spots += [n for n in (str(one)[1:] for one in space[1])
                                 if n not in (*self.found.spots, "None")]
        elif kind in ("/Indexed", "/Pattern"):
            self.space(space[1], depth + 1)

    def _font(self, font: Any, depth: int) -> None:
        if font.get("/Subtype") == "/Type3":
            for drawing in _values(font, "/CharProcs"):
                if self._is_new(drawing):
                    self.take(unpacked(drawing), font.get("/Resources"), depth + 1)
            return
        below = font.get("/DescendantFonts")
        for one in list(below)[:4] if isinstance(below, pikepdf.Array) else [font]:
            held = one.get("/FontDescriptor")
            if not isinstance(held, pikepdf.Dictionary) or not any(
                    f"/FontFile{kind}" in held for kind in ("", "2", "3")):
                name = str(font.get("/BaseFont", "/unnamed"))[1:]
                if name not in self.found.absent_fonts:
                    self.found.absent_fonts.append(name)

    def _is_new(self, part: Any) -> bool:
        key = part.objgen
        if key != (0, 0) and key in self.seen:
            return False
        self.seen.add(key)
        self.parts += 1
        if self.parts > _MOST_PARTS:
            raise PdfFault(f"more than {_MOST_PARTS:,} parts")
        return True


def _fonts_shown(drawn: bytes) -> set[bytes]:
    """Names of the fonts that letters are shown in; writers name others that they never use."""
    plain = drawn
    for _ in range(_MOST_NESTED):
        shorter = _STRING.sub(b"\0", plain)
        if shorter == plain:
            break
        plain = shorter
    shown: set[bytes] = set()
    font, saved = b"", [b""]
    for found in _TEXT_STATE.finditer(plain):
        if found["font"]:
            font = found["font"]
        elif found["save"]:
            saved = [*saved[-_MOST_DEPTH:], font]
        elif found["restore"]:
            font = saved.pop() if len(saved) > 1 else saved[0]
        elif font:
            shown.add(font)
    return shown


def spot_name(space: Any) -> str:
    """The name of a Separation colour space."""
    return str(space[1])[1:]


def _values(resources: Any, kind: str) -> list[Any]:
    named = resources.get(kind)
    if not isinstance(named, pikepdf.Dictionary):
        return []
    return [value for value in dict(named.items()).values()
            if isinstance(value, pikepdf.Object)
            and (isinstance(value, pikepdf.Dictionary | pikepdf.Stream) or kind == "/ColorSpace")]


def unpacked(contents: Any) -> bytes:
    """What a stream, or an array of streams, holds. Raises `PdfFault` where that is too much."""
    if isinstance(contents, pikepdf.Array):
        parts = []
        for one in contents:
            parts.append(unpacked(one))
            if sum(map(len, parts)) > MOST_DRAWN_BYTES:
                raise PdfFault(f"contents of more than {MOST_DRAWN_BYTES // 1_000_000} MB")
        return b"\n".join(parts)
    if not isinstance(contents, pikepdf.Stream):
        return b""
    coded: Any = contents.get("/Filter", [])
    raw = contents.read_raw_bytes()
    for coding in [str(one) for one in coded] if isinstance(coded, pikepdf.Array) else (
            [str(coded)] if coded else []):
        raw = _decoded(raw, coding, contents)
    return raw


def _decoded(raw: bytes, coding: str, stream: Any) -> bytes:
    try:
        if coding in ("/FlateDecode", "/Fl"):
            opened = zlib.decompressobj()
            plain = opened.decompress(raw, MOST_DRAWN_BYTES)
            if opened.unconsumed_tail:
                raise PdfFault(f"contents of more than {MOST_DRAWN_BYTES // 1_000_000} MB")
            return plain
        if coding in ("/ASCII85Decode", "/A85"):
            return base64.a85decode(raw.strip().removesuffix(b"~>"))
        if coding in ("/ASCIIHexDecode", "/AHx"):
            return binascii.unhexlify(b"".join(raw.split()).removesuffix(b">"))
        if len(raw) <= _MOST_CODED_WHOLE:
            return bytes(stream.read_bytes())
    except (zlib.error, ValueError) as fault:
        if isinstance(fault, PdfFault):
            raise
        raise PdfFault("contents that cannot be unpacked") from None
    raise PdfFault(f"contents coded as {coding[1:][:20]}")
