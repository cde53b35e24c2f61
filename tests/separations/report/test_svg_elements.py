"""SVG as elements: names in it are words whatever they hold, and a browser and a parser read it."""

from __future__ import annotations

from xml.etree.ElementTree import fromstring

from separations.report.svg_elements import element, svg_of, written


def test_attributes_and_words_are_escaped() -> None:
    told = 'A "<b>" & co'
    text = written(svg_of("0 0 9 4.5", element("text", told, x=1.5, text_anchor="end"),
                          role="img", aria_label=told, class_="curve"))
    root = fromstring(text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert root.attrib == {"viewBox": "0 0 9 4.5", "role": "img", "aria-label": told,
                           "class": "curve"}
    assert root[0].text == told
    assert root[0].attrib == {"x": "1.5", "text-anchor": "end"}
    assert "<b>" not in text


def test_a_drawing_inside_a_page_names_no_language() -> None:
    assert written(svg_of("0 0 1 1", alone=False)) == '<svg viewBox="0 0 1 1" />'
