"""What an SVG element looks like: its style sheet, attributes and what it takes over."""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from PIL import ImageColor

from preflight.files.svg_file import local_name

#: Properties that this reader knows; those in the second set are not handed down.
_HANDED_DOWN = {
    "fill": "black", "fill-rule": "nonzero", "stroke": "none", "stroke-width": "1",
    "stroke-linecap": "butt", "stroke-linejoin": "miter", "stroke-miterlimit": "4",
    "stroke-dasharray": "none", "stroke-dashoffset": "0", "color": "black",
    "visibility": "visible", "font-size": "16", "text-anchor": "start", "clip-rule": "nonzero",
    "fill-opacity": "1", "stroke-opacity": "1"}
_OWN = {"display": "inline", "opacity": "1", "clip-path": "none", "mask": "none", "filter": "none"}
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_SIMPLE = re.compile(r"([a-zA-Z]+)?(?:([.#])([-\w]+))?")

Style = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class StyleSheet:
    """Rules of the form ``name``, ``.class``, ``#id`` or ``name.class``, weakest first.

    Attributes
    ----------
    rules : tuple
        (element name or empty, class or id with its sign or empty, declarations).
    left_out : bool
        Whether there were rules of other forms, which are not read.
    """

    rules: tuple[tuple[str, str, Style], ...]
    left_out: bool


def style_sheet(root: Element) -> StyleSheet:
    """All rules of the file's ``style`` elements."""
    found: list[tuple[int, str, str, Style]] = []
    left_out = False
    for element in root.iter():
        if local_name(element) != "style":
            continue
        for heads, body in _RULE.findall(_COMMENT.sub("", element.text or "")):
            for head in heads.split(","):
                match = _SIMPLE.fullmatch(head.strip())
                if match is None or not match[0]:
                    left_out = True
                    continue
                sign = match[2] or ""
                weight = {"": 0, ".": 1, "#": 2}[sign]
                found.append((weight, match[1] or "", sign + (match[3] or ""),
                              declarations(body)))
    found.sort(key=lambda rule: rule[0])
    return StyleSheet(rules=tuple(rule[1:] for rule in found), left_out=left_out)


def declarations(text: str) -> Style:
    """``name: value; …`` as a dictionary."""
    pairs = (part.partition(":") for part in text.split(";"))
    return {name.strip(): value.replace("!important", "").strip() for name, _, value in pairs
            if name.strip() and value.strip()}


def first_style() -> Style:
    """What holds where nothing is said."""
    return _HANDED_DOWN | _OWN


def style_of(element: Element, above: Style, sheet: StyleSheet) -> Style:
    """The element's style: handed down, then its attributes, the style sheet, its own style.

    Notes
    -----
    Source: SVG 2, "presentation attributes" and CSS cascade; rules in order of their weight.
    """
    style = above | _OWN
    said = {name: value for name, value in element.attrib.items() if name in style}
    classes = {"." + name for name in element.get("class", "").split()}
    classes |= {"#" + element.get("id", ""), ""}
    for name, selector, rule in sheet.rules:
        if name in ("", local_name(element)) and selector in classes:
            said |= rule
    said |= declarations(element.get("style", ""))
    style |= {name: value for name, value in said.items() if name in style and value != "inherit"}
    return style


def colour_of(paint: str, style: Style) -> str | None:
    """A paint as ``#rrggbb``, or None for no paint.

    Raises
    ------
    ValueError
        When the paint is no plain colour (a gradient or pattern), or unknown.
    """
    paint = paint.strip().lower()
    if paint in ("none", "transparent"):
        return None
    if paint == "currentcolor":
        paint = style["color"].lower()
    red, green, blue, *alpha = ImageColor.getrgb(paint)
    return None if alpha and alpha[0] == 0 else f"#{red:02x}{green:02x}{blue:02x}"
