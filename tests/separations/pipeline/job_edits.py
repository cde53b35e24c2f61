"""Made-up sequences of edits of a small job, and what a session tells of each state."""

from __future__ import annotations

import hashlib
import json
import random
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import tomlkit

from preflight.job_file.job import Job
from preflight.job_file.job_reader import job_of_text, read_job
from separations.halftone.film_bands import film_bands
from separations.measuring.hold.film_windows import Window
from separations.pipeline.fact_stages import FINDINGS, QUICK_FINDINGS
from separations.pipeline.picture_stages import FILM_WINDOWS, PROOF
from separations.pipeline.session import Session
from separations.pipeline.stages import FILM_CONTENT, FILM_SHEET
from tests.small_art import small_lines, small_photo, write_small_job

Document = Any
Edit = Callable[[random.Random, Document, Path], None]

_SVG = ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30" width="60mm" height="30mm">'
        '<rect x="5" y="5" width="30" height="18"/><path d="M2 28 L50 2" stroke="black" '
        'stroke-width="0.8" fill="none"/></svg>')
_MASK = "mask.png"


def write_folder(folder: Path) -> Path:
    """The small job with two more photographs, a drawing and an opacity mask beside it."""
    path = write_small_job(folder)
    other = small_photo()[::-1].copy()
    cv2.imwrite(str(folder / "other.png"), other)
    cv2.imwrite(str(folder / "grey.jpg"), other[:, :, 1])
    cv2.imwrite(str(folder / _MASK), small_photo()[:, :, 0])
    (folder / "drawing.svg").write_text(_SVG, encoding="utf-8")
    return path


def _mm(rng: random.Random, least: float, most: float) -> str:
    return f"{rng.uniform(least, most):.2f} mm"


def _move(rng: random.Random, document: Document, _: Path) -> None:
    art = rng.choice(document["art"])
    art["offset_along"], art["offset_across"] = _mm(rng, -6, 6), _mm(rng, -6, 6)


def _turn(rng: random.Random, document: Document, _: Path) -> None:
    rng.choice(document["art"])["turn"] = rng.choice([90, 270, 90.5, 12])


def _crop(rng: random.Random, document: Document, _: Path) -> None:
    side = rng.choice(["left", "right", "top", "bottom"])
    document["art"][0][f"crop_{side}"] = f"{rng.choice([0, 2, 7.5])} %"


def _exchange(rng: random.Random, document: Document, _: Path) -> None:
    document["art"][0]["file"] = rng.choice(["photo.png", "other.png", "grey.jpg"])


def _repaint(rng: random.Random, _document: Document, folder: Path) -> None:
    """Another picture under the same name."""
    if rng.random() < 0.5:
        cv2.imwrite(str(folder / "photo.png"), small_photo()[:, ::rng.choice((1, -1)), ::-1]
                    // rng.choice((1, 2)))
    else:
        cv2.imwrite(str(folder / "lines.png"), small_lines()[::rng.choice((1, -1))])


def _mask(_rng: random.Random, document: Document, _: Path) -> None:
    photo = document["art"][0]
    if "opacity" in photo:
        del photo["opacity"]
    else:
        photo["opacity"] = _MASK


def _draw(rng: random.Random, document: Document, _: Path) -> None:
    drawings = [art for art in document["art"] if str(art.get("file", "")).endswith(".svg")]
    if drawings and rng.random() < 0.5:
        document["art"].remove(drawings[0])
        return
    table = tomlkit.table()
    table.update({"file": "drawing.svg", "kind": rng.choice(["line", "flat"]),
                  "ink": rng.choice(["Cyan", "Black"]), "place": "scale", "width": "50 mm",
                  "offset_along": _mm(rng, -60, 60), "turn": 90})
    document["art"].append(table)


def _note(rng: random.Random, document: Document, _: Path) -> None:
    notes = document.setdefault("note", tomlkit.aot())
    if len(notes) > 1 and rng.random() < 0.3:
        del notes[0]
        return
    if len(notes) < 2:
        table = tomlkit.table()
        table.update({"text": rng.choice(["Heron pool", "Sluice"]), "ink": "Black"})
        notes.append(table)
    note = rng.choice(notes)
    note["at"] = [_mm(rng, -90, 90), _mm(rng, -20, 20)]
    note["label_offset"] = [_mm(rng, -12, 12), _mm(rng, -12, 12)]


def _line(rng: random.Random, document: Document, _: Path) -> None:
    lines = document.setdefault("line", tomlkit.aot())
    if len(lines) > 1 or (len(lines) == 1 and rng.random() < 0.3):
        del lines[0]
        return
    table = tomlkit.table()
    table.update({"points": [[_mm(rng, -90, 90), _mm(rng, -20, 20)] for _ in range(3)],
                  "ink": rng.choice(["Black", "Cyan"]), "smooth": rng.random() < 0.5,
                  "width": _mm(rng, 0.2, 1.5)})
    if rng.random() < 0.7:
        table.update({"name": "Dyke walk", "name_stands": rng.choice(["above", "on", "below"])})
    if rng.random() < 0.5:
        table.update({"dashes": ["4 mm", "2 mm"], "arrow": "3 mm"})
    lines.append(table)


def _white_beneath(rng: random.Random, document: Document, _: Path) -> None:
    rng.choice(document["art"])["white_beneath"] = rng.choice([True, False])


def _set(table: str, key: str, *values: object) -> Edit:
    def edit(rng: random.Random, document: Document, _: Path) -> None:
        document.setdefault(table, tomlkit.table())[key] = rng.choice(values)

    return edit


def _ink(key: str, *values: object) -> Edit:
    def edit(rng: random.Random, document: Document, _: Path) -> None:
        ink = rng.choice(document["ink"])
        if key in ink and rng.random() < 0.3 and key != "angle":
            del ink[key]
        else:
            ink[key] = rng.choice(values)

    return edit


def _white(rng: random.Random, document: Document, _: Path) -> None:
    inks = document["ink"]
    if inks[0]["name"] == "White":
        del inks[0]
        return
    table = tomlkit.table()
    table.update({"name": "White", "over_white": [95, 0, 2], "opacity": 0.9,
                  "prints": "underbase", "angle": 37.5, "choke": _mm(rng, 0.1, 0.6),
                  "heat_limit": "140 °C"})
    inks.insert(0, table)


def _hole(rng: random.Random, document: Document, _: Path) -> None:
    if "keep_out" in document:
        del document["keep_out"]
        return
    table = tomlkit.table()
    table.update({"name": "badge", "at": [_mm(rng, -80, 80), "0 mm"], "diameter": "12 mm"})
    document["keep_out"] = tomlkit.aot()
    document["keep_out"].append(table)


EDITS: tuple[Edit, ...] = (
    _move, _move, _turn, _crop, _exchange, _repaint, _mask, _draw, _note, _note, _line, _white,
    _white_beneath, _hole,
    _set("board", "nose_width", "8 cm", "8.4 cm", "7.6 cm"),
    _set("board", "length", "30 cm", "29 cm"),
    _set("area", "bleed", "5 mm", "3 mm"), _set("area", "edge_dots", "cut", "whole"),
    _set("separation", "tone_sum_limit", "260 %", "220 %", "300 %"),
    _set("separation", "black_generation", 0.5, 0.2, 0.9),
    _set("separation", "small_dots", "thin", "hold", "drop"),
    _set("separation", "trap", "0.25 mm", "0 mm", "0.4 mm"),
    _set("halftone", "ruling", "45 lpi", "40 lpi"),
    _set("halftone", "dot_shape", "round", "elliptical", "diamond"),
    _set("mesh", "count", "120/cm", "100/cm"), _set("wood", "lab", [74, 6, 26], [80, 3, 20]),
    _set("finish", "varnish", "none", "matt", "gloss"),
    _set("wood", "figure_seed", 158, 3), _set("film", "resolution", "600 dpi", "720 dpi"),
    _set("register", "placement", "0.1 mm", "0.2 mm"), _ink("angle", 7.5, 22.5, 37.5, 45, 82.5),
    _ink("ruling", "45 lpi", "38 lpi"), _ink("tone_curve", "straight", "published"),
    _ink("choke", "0.2 mm"), _ink("dot_shape", "line", "round", "stochastic"),
    _ink("heat_limit", "140 °C", "60 °C"))


def edited(rng: random.Random, path: Path, document: Document) -> Job | None:
    """Make an edit in a document; the job that it then is, or None where it is none."""
    EDITS[rng.randrange(len(EDITS))](rng, document, path.parent)
    try:
        return job_of_text(tomlkit.dumps(document), path)
    except Exception:
        return None


def told(session: Session, slow: bool) -> str:
    """A digest of findings, proof and the films' own bits, or the fault that is raised."""
    summed = hashlib.sha256()
    try:
        quick = session.at(finest_ppi=72.0, proof_ppi=50.0)
        proof, first = quick.all_of(PROOF, QUICK_FINDINGS)
        summed.update(proof.tobytes())
        summed.update(repr(first).encode())
        if slow:
            summed.update(repr(quick.of(FINDINGS)).encode())
        windows, sheet = session.all_of(FILM_WINDOWS, FILM_SHEET)
        grid = sheet.art_grid
        top, left = grid.rows // 3, grid.columns // 3
        for film in windows:
            summed.update(film.bits(Window(top, top + 300, left, left + 300)).tobytes())
        if slow:
            for content in session.of(FILM_CONTENT):
                for band in film_bands(content):
                    summed.update(band.tobytes())
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}"
    return summed.hexdigest()


def main() -> None:
    """For each job file named on standard input: its digest, from a session of its own."""
    for line in sys.stdin:
        path, slow = json.loads(line)
        print(told(Session(read_job(Path(path))), slow), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
