"""Drawings and tables of points that burst, go in circles or reach for the moon."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from preflight.board.outline_from_file import read_outline_file
from preflight.input_problem import InputProblem
from tests.drawn_eggs import egg_path

Measured = dict[str, dict[str, Any]]
_SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'


def _svgs() -> Iterator[tuple[str, str]]:
    path = f'<path d="{egg_path()}"/>'
    uses = "".join(f'<g id="g{n}">{f"""<use href="#g{n - 1}"/>""" * 10}</g>' for n in range(1, 15))
    yield "uses", f'{_SVG}<defs><g id="g0">{path}</g>{uses}</defs><use href="#g14"/></svg>'
    yield "itself", f'{_SVG}<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>'
    yield "within", f'{_SVG}<g id="a">{path}<use href="#a"/></g></svg>'
    yield "deep", _SVG + "<g>" * 200_000 + path + "</g>" * 200_000 + "</svg>"
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 12))
    yield "entities", f'<!DOCTYPE svg [<!ENTITY l0 "ha">{laughs}]>{_SVG}<text>&l11;</text></svg>'
    yield "outside", ('<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
                      f"{_SVG}<text>&x;</text></svg>")
    yield "outside-use", f'{_SVG}<use href="file:///etc/passwd#a"/><use xlink:href="/etc/x"/></svg>'
    for name, number in (("huge", "1e308"), ("more", "1e999"), ("nan", "nan"), ("inf", "inf")):
        yield name, f'{_SVG}<path d="M0,0 L{number},0 L{number},{number} Z"/></svg>'
        yield f"{name}-box", f'{_SVG[:-1]} width="9mm" viewBox="0 0 {number} {number}">{path}</svg>'
        yield f"{name}-turn", f'{_SVG}<g transform="scale({number})">{path}</g></svg>'
    yield "many", _SVG + '<path d="M0,0 L1,1"/>' * 100_000 + "</svg>"
    yield "points", f'{_SVG}<path d="M0,0 {"L1,1 2,0 " * 900_000}Z"/></svg>'
    yield "arcs", f'{_SVG}<path d="M0,0 {"A1e6,1 7 0 1 9,9 " * 50_000}Z"/></svg>'
    yield "numbers", f'{_SVG}<path d="M0,0 {"9" * 5_000_000} 1 Z"/></svg>'
    yield "html", "<html><body>no</body></html>"
    yield "nothing", ""
    yield "cut", f"{_SVG}{path}"
    yield "flat", f'{_SVG}<path d="M0,0 L0,0 L0,0 Z"/></svg>'


def _dxf(entities: str, blocks: str = "") -> str:
    return (f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{entities}0\n"
            "ENDSEC\n0\nEOF\n")


def _dxfs() -> Iterator[tuple[str, str]]:
    def insert(name: str, more: str = "") -> str:
        return f"0\nINSERT\n8\n0\n2\n{name}\n10\n0\n20\n0\n{more}"

    def block(name: str, body: str) -> str:
        return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{body}0\nENDBLK\n8\n0\n"

    line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n{0}\n21\n{0}\n"
    bomb = "".join(block(f"B{n}", insert(f"B{n - 1}") * 10) for n in range(1, 15))
    yield "blocks", _dxf(insert("B14"), block("B0", line.format(5)) + bomb)
    yield "itself", _dxf(insert("A"), block("A", insert("A") + line.format(5)))
    yield "copies", _dxf(insert("A", "70\n30000\n71\n30000\n44\n1\n45\n1\n"),
                         block("A", line.format(5)))
    for name, number in (("huge", "1e308"), ("more", "1e999"), ("nan", "nan"), ("words", "x")):
        yield name, _dxf(line.format(number) * 9)
        yield f"circle-{name}", _dxf(f"0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n{number}\n")
    yield "arc", _dxf("0\nARC\n8\n0\n10\n0\n20\n0\n40\n1e9\n50\n1e300\n51\n-1e300\n")
    yield "many", _dxf(line.format(5) * 25_000)
    knots = "40\n0\n" * 200_000
    yield "knots", _dxf(f"0\nSPLINE\n8\n0\n70\n8\n71\n3\n72\n200000\n73\n9\n{knots}")
    yield "order", _dxf("0\nSPLINE\n8\n0\n70\n8\n71\n30000\n72\n4\n73\n4\n")
    yield "nothing", ""
    yield "bytes", "\0\1\2" * 4000
    yield "binary", "AutoCAD Binary DXF\r\n\x1a\0" + "\xff" * 4000
    yield "cut", _dxf(line.format(5) * 99)[:700]


def _tables() -> Iterator[tuple[str, str]]:
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    ring = [(800 * np.cos(t), 130 * np.sin(t)) for t in turn]
    for name, number in (("nan", "nan"), ("inf", "inf"), ("huge", "1e999"), ("far", "1e300"),
                         ("underscore", "1_0"), ("digits", "٣٤"), ("hex", "0x10")):
        yield name, "".join(f"{x},{y}\n" for x, y in ring) + f"{number},{number}\n"
    yield "same", "1,1\n" * 100_000
    yield "long-line", "1," * 4_000_000
    yield "zigzag", "".join(f"{n},{n % 2}\n" for n in range(60_000))
    yield "formula", "=HYPERLINK(1),2\n" * 20
    yield "nothing", ""
    yield "nulls", "1,\0\n" * 20


@pytest.mark.long
def test_every_hostile_drawing(tmp_path: Path, measured: Callable[[Path], Measured]) -> None:
    for ending, texts in ((".svg", _svgs()), (".dxf", _dxfs()), (".csv", _tables())):
        for name, text in texts:
            (tmp_path / f"{name}{ending}").write_text(text, encoding="latin-1" if ending == ".dxf"
                                                      else "utf-8")
    results = measured(tmp_path)
    assert len(results) > 50
    for name, result in results.items():
        assert str(result["said"]).startswith("refused: "), (name, result)
        assert str(result["said"]).endswith(" would do."), (name, result)
        assert result["mib"] < 1536, (name, result)
        assert result["seconds"] < 20, (name, result)
    assert json.dumps(results).count("FAULT") == 0


def _ring_text(separator: str, comma: bool) -> str:
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    lines = [separator.join(f"{v:.3f}".replace(".", "," if comma else ".")
                            for v in (700 * np.cos(t), 130 * np.sin(t))) for t in turn]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(("separator", "comma"), [
    (",", False), (";", False), (";", True), ("\t", True), ("\t", False), (" ", True),
    ("  ", False)])
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
def test_what_spreadsheets_write_is_read(
    tmp_path: Path, separator: str, comma: bool, coding: str, ends: str
) -> None:
    path = tmp_path / "points.csv"
    path.write_bytes(_ring_text(separator, comma).replace("\n", ends).encode(coding))
    outline = read_outline_file(path)
    assert np.ptp(outline.ring_mm[:, 0]) == pytest.approx(1400, abs=0.01)
    assert np.ptp(outline.ring_mm[:, 1]) == pytest.approx(260, abs=0.5)


def test_commas_that_could_be_either_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "points.csv"
    path.write_text(_ring_text(",", comma=True), encoding="utf-8")
    with pytest.raises(InputProblem, match="semicolons between where commas are decimal"):
        read_outline_file(path)
