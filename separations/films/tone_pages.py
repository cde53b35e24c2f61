"""Unscreened pages of the job's inks: one ink alone in grey steps, or all in one composite."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pikepdf
from numpy.typing import NDArray
from shapely.geometry import Polygon

from preflight.board.area_mask import coverage_mask, part_of, rows_and_columns
from preflight.frames.film_scale import scale_short
from preflight.frames.raster_grid import RasterGrid
from preflight.frames.tiled_plane import TiledPlane, tiled
from separations.films.document_facts import DocumentFacts
from separations.films.film_label import LabelLine, shortened
from separations.films.film_page import OVERPRINT, PlacedImage, label_width_pt
from separations.films.film_sheet import FilmSheet
from separations.films.ink_spaces import Plates, device_n_space, grey_space, separation_space
from separations.films.output_intent import OutputIntent
from separations.films.unscreened_page import (
    WEDGE_NAME,
    InkImage,
    UnscreenedPage,
    clip_to,
    edges_of,
    placed_wedge,
    stencils,
    wedge,
    write_unscreened,
)
from separations.films.wrapped_text import BOLD_FONT, PLAIN_FONT
from separations.halftone.film_content import FilmArea, FilmLines

_FULL = 65_535


def flat_rows(job: ToneSet, number: int) -> Callable[[int, int], NDArray[np.uint16]]:
    """Rows of one ink's tones from one to another (exclusive), uint16, 65535 = solid.

    Line work is averaged over the tones' larger pixels, and so is the edge of the printed area:
    both are softer here than on the film.
    """
    grid = job.grid
    tones = job.tones[number]
    lines = [(line if isinstance(line, FilmArea) else
              line.plane.averaged(grid.rows, grid.columns), line.action)
             for ink, line in job.lines if ink == number]

    def rows(first: int, end: int) -> NDArray[np.uint16]:
        flat = np.zeros((end - first, grid.columns), np.float32)
        if tones is not None:
            flat += tones[first:end] / np.float32(_FULL)
        for drawn, action in lines:
            if isinstance(drawn, FilmArea):
                cover = np.asarray(coverage_mask(drawn.area, grid.band(first, end))
                                   / np.float32(_FULL), np.float32)
                inked = cover * np.float32(drawn.tone)
            else:
                inked = cover = drawn[first:end] / np.float32(255)
            flat = np.asarray(np.maximum(flat, inked) if action == "print"
                              else flat * (1 - cover), np.float32)
        inside = coverage_mask(job.printed, grid.band(first, end)) / np.float32(_FULL)
        return np.asarray(np.rint(flat * inside * _FULL), np.uint16)

    return rows


TONES_NAME = "Tones"
ALL_INKS = "Inks"
_UINT16_PER_UINT8 = 257


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ToneSet:
    """The job's inks before screening.

    Attributes
    ----------
    plates : Plates
        Their names in print order, and how their tints look on the wood.
    tones : tuple of NDArray of uint16, shape (rows, columns), or None
        Film tones of each ink, 65535 = solid; None for an ink of line work only.
    grid : RasterGrid
        Where the tones lie.
    lines : tuple of (int, FilmLines or FilmArea)
        Ink by ink (from 0) what line work does to it, in the order in which it takes effect; of
        one sheet of lines first what it knocks out, so that a viewer that knows no overprint
        shows the lines and not the gaps.
    printed : Polygon
        The printed area (board mm).
    words : str
        Job and board, for the label.
    facts : DocumentFacts
        Job title and date.
    """

    plates: Plates
    tones: tuple[NDArray[np.uint16] | None, ...]
    grid: RasterGrid
    lines: tuple[tuple[int, FilmLines | FilmArea], ...]
    printed: Polygon
    words: str
    facts: DocumentFacts


def write_grey(path: Path, job: ToneSet, number: int, sheet: FilmSheet) -> str:
    """Write one ink's page in its own Separation, 16 bits a pixel; SHA-256 of the file, in hex.

    A device without plates of that name shows it in grey, solid ink black.

    Raises
    ------
    FilmReadBackError
        When the file does not hold the samples that it was given.
    """
    name = job.plates.names[number]
    head = f"{name}: separation {number + 1} of {len(job.plates.names)}, unscreened"
    return write_unscreened(path, _page(job, [number], sheet, head), sheet)


def write_composite(path: Path, job: ToneSet, sheet: FilmSheet,
                    intent: OutputIntent | None) -> str:
    """Write all inks as one DeviceN page; SHA-256 of the file, in hex. Faults as `write_grey`."""
    head = "Composite: " + ", ".join(job.plates.names)
    page = _page(job, range(len(job.plates.names)), sheet, head)
    return write_unscreened(path, replace(page, intent=intent), sheet)


def eight_bit(tones: NDArray[np.uint16]) -> NDArray[np.uint8]:
    """Film tones in 255 steps, 255 = solid, to the nearest."""
    return ((tones.astype(np.uint32) + _UINT16_PER_UINT8 // 2) // _UINT16_PER_UINT8).astype(
        np.uint8)


def _page(job: ToneSet, inks: Sequence[int], sheet: FilmSheet, head: str) -> UnscreenedPage:
    composite = len(inks) > 1
    space = ALL_INKS if composite else _ink_space(inks[0])
    bits = 8 if composite else 16
    clip = clip_to(job.printed, sheet)

    def spaces(pdf: pikepdf.Pdf) -> Mapping[str, pikepdf.Object]:
        if not composite:
            return {space: grey_space(job.plates.names[inks[0]])}
        made = {_ink_space(ink): separation_space(pdf, job.plates, ink) for ink in inks}
        return made | {ALL_INKS: device_n_space(pdf, job.plates)}

    images = {TONES_NAME: _tone_image(job, inks, space), WEDGE_NAME: wedge(space, len(inks))}
    placed = [PlacedImage(TONES_NAME, edges_of(job.grid, sheet), clip), placed_wedge(sheet)]
    known: dict[int, str] = {}
    for ink, line in job.lines:
        if ink not in inks:
            continue
        shape = line.area if isinstance(line, FilmArea) else line.plane
        stem = known.setdefault(id(shape), f"Lines{len(known) + 1}-")
        tone = line.tone if isinstance(line, FilmArea) else 1.0
        tint = tone if line.action == "print" else 0.0
        state = f"{clip} /{OVERPRINT} gs /{_ink_space(ink)} cs {tint:g} scn"
        cover, grid = _stencil(line, sheet)
        for name, (image, edges) in stencils(stem, cover, grid, sheet).items():
            images[name] = image
            placed.append(PlacedImage(name, edges, state))
    return UnscreenedPage(label=_label(job, sheet, head, bits), facts=job.facts, spaces=spaces,
                          images=images, placed=tuple(placed))


def _stencil(line: FilmLines | FilmArea, sheet: FilmSheet) -> tuple[TiledPlane, RasterGrid]:
    """Coverage and where it lies; an area's outline is drawn in film pixels."""
    if isinstance(line, FilmLines):
        return line.plane, line.grid
    film = sheet.art_grid
    window = part_of(film, *rows_and_columns(line.area, film)) or film.band(0, 1)
    return tiled(np.asarray(coverage_mask(line.area, window) >> 8, np.uint8)), window


def _ink_space(ink: int) -> str:
    return f"Ink{ink + 1}"


def _tone_image(job: ToneSet, inks: Sequence[int], space: str) -> InkImage:
    """Tones side by side in each pixel; nothing where a pixel lies wholly outside the print.

    One ink alone has all 16 bits of its plane, the high byte first (ISO 32000-1:2008, 8.9.3).
    """
    grid = job.grid

    alone = len(inks) == 1

    def samples(first: int, end: int) -> NDArray[np.uint8]:
        inside = coverage_mask(job.printed, grid.band(first, end)) > 0
        mixed = np.zeros((end - first, grid.columns, len(inks)), ">u2" if alone else np.uint8)
        for place, ink in enumerate(inks):
            tones = job.tones[ink]
            if tones is not None:
                shown = tones[first:end]
                mixed[:, :, place] = (shown if alone else eight_bit(shown)) * inside
        return mixed.reshape(end - first, -1).view(np.uint8)

    return InkImage(rows=grid.rows, columns=grid.columns, space=space, samples=samples,
                    bits=16 if alone else 8)


def _label(job: ToneSet, sheet: FilmSheet, head: str, bits: int) -> tuple[LabelLine, ...]:
    width_pt = label_width_pt(sheet)
    lines = (
        LabelLine(head, BOLD_FONT, 15.0), LabelLine(job.words, PLAIN_FONT, 11.0),
        LabelLine(f"{bits}-bit film tones, press curve allowed for · scale "
                  + scale_short(sheet.scale), PLAIN_FONT, 10.0),
        LabelLine(f"{sheet.reading} · {job.facts.date}", PLAIN_FONT, 10.0))
    return tuple(line._replace(text=shortened(line, width_pt)) for line in lines)
