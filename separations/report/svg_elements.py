"""SVG built as elements and written by the standard library: the one way of drawing SVG here."""

from __future__ import annotations

from xml.etree.ElementTree import Element, tostring

SVG_NAMESPACE = "http://www.w3.org/2000/svg"


def element(kind: str, *inside: Element | str, **attributes: str | float) -> Element:
    """An element with its attributes, and the elements or the words inside it.

    Hyphens are underscores in the attributes' names, and ``class_`` stands for ``class``; a number
    is written as Python writes it, so format it where that matters.
    """
    made = Element(kind, {name.rstrip("_").replace("_", "-"): str(value)
                          for name, value in attributes.items()})
    for part in inside:
        if isinstance(part, str):
            made.text = (made.text or "") + part
        else:
            made.append(part)
    return made


def svg_of(view_box: str, *inside: Element | str, alone: bool = True,
           **attributes: str | float) -> Element:
    """A drawing; ``alone`` in a file of its own, where it has to name what language it is in."""
    made = element("svg", *inside, **attributes)
    made.set("viewBox", view_box)
    if alone:
        made.set("xmlns", SVG_NAMESPACE)
    return made


def written(drawing: Element) -> str:
    """The drawing as text, names in it escaped."""
    return tostring(drawing, encoding="unicode")
