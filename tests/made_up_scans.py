"""Prints of a job's test sheet and pictures of them, made up: spread dots, grain, light, a camera.

A print is reckoned from the films' own bits: ink spreads, and light wanders between the dots. Its
relative light, patch by patch, is what a meter without noise would read of it over the wood.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.job_file.job_reader import read_job
from separations.uses.calibration.calibration_run import make_wedge
from separations.uses.calibration.patches import Patch, sheet_patches
from separations.uses.calibration.wedge_films import WedgeSheet, wedge_sheet
from tests.small_art import SMALL_JOB, write_small_job

FloatArray = NDArray[np.float64]
Plane = NDArray[np.float32]

_EDGE_AT, _EDGE_SOFT = 0.33, 0.5

FILM_DPI = 600
#: Bare wood round the sheet (mm).
ASIDE_MM = 14.0
#: Light that passes a solid down and up again, in red, green and blue. Invented.
SOLIDS = {"Yellow": (0.93, 0.80, 0.16), "Magenta": (0.80, 0.16, 0.32), "Cyan": (0.13, 0.50, 0.66),
          "Black": (0.06, 0.06, 0.065), "White": (1.30, 1.55, 2.10)}
#: The wood's own light. Invented.
WOOD = np.array([0.62, 0.47, 0.29])


@dataclass(frozen=True, kw_only=True, eq=False)
class PrintedSheet:
    """A print of a test sheet.

    Attributes
    ----------
    light : ndarray, shape (rows, columns, 3), float32
        Light over that of the bare wood.
    per_mm : float
        Its pixels to a millimetre.
    true : ndarray, shape (N, 3), float64
        The same in the middle of each patch.
    moved_mm : ndarray, shape (inks, 2), float64
        How far each ink lies to the right and down.
    """

    laid: WedgeSheet
    patches: tuple[Patch, ...]
    light: Plane
    per_mm: float
    true: FloatArray
    moved_mm: FloatArray


@dataclass(frozen=True, kw_only=True)
class Taken:
    """How a picture is taken: of a scan unless tilted.

    ``turn``, ``tilt`` and ``swing`` are degrees, ``uneven`` is the darkest light over the
    brightest, ``mixed`` what each of the sensor's colours takes of the others, ``cast`` the light's
    red, green and blue, ``lattice_per_mm`` the pixels of a screen that shows the sheet.
    """

    ppi: float = 300.0
    turn: float = 0.0
    tilt: float = 0.0
    swing: float = 0.0
    curl_mm: float = 0.0
    uneven: float = 0.9
    grain: float = 0.03
    noise: float = 0.004
    blur_px: float = 0.6
    sharpened: float = 0.3
    radius_px: float = 1.2
    jpeg: int = 0
    exposure: float = 1.0
    contrast: float = 0.0
    mixed: float = 0.06
    mirrored: bool = False
    cast: tuple[float, float, float] = (1.0, 1.0, 1.0)
    lattice_per_mm: float = 0.0
    part: tuple[float, float] = (0.0, 1.0)
    seed: int = 1


def write_two_ink_job(folder: Path, title: str = "Marsh light") -> Path:
    """The small job with its yellow and black alone, so that its sheet is small."""
    start, end = SMALL_JOB.index('[[ink]]\nname = "Magenta"'), SMALL_JOB.index(
        '[[ink]]\nname = "Black"')
    return write_small_job(folder, (SMALL_JOB[start:end], ""), ("Marsh light", title))


@dataclass(frozen=True, kw_only=True, eq=False)
class MadeFilms:
    """The films of a test sheet: each ink's name and the film's bits, (rows, columns)."""

    laid: WedgeSheet
    patches: tuple[Patch, ...]
    bits: tuple[tuple[str, NDArray[np.bool_]], ...]


def made_films(job_path: Path, folder: Path) -> MadeFilms:
    """Make the films of a job's test sheet and read their bits with another library."""
    job = read_job(job_path)
    patches = sheet_patches(job)
    names = make_wedge(job_path, folder)
    return MadeFilms(laid=wedge_sheet(job, patches), patches=patches, bits=tuple(
        (ink.name, film_bits(folder / name)) for name, ink in zip(names, job.ink, strict=True)))


def printed_sheet(job_path: Path, folder: Path) -> PrintedSheet:
    """Make the films and print them."""
    return print_of(made_films(job_path, folder))


def print_of(films: MadeFilms, *, spread_mm: float = 0.035, wander_mm: float = 0.08,
             shifts_mm: float = 0.15, deeper: float = 1.0) -> PrintedSheet:
    """Print films; solids have ``deeper`` times the usual density."""
    laid, patches = films.laid, films.patches
    per_mm = FILM_DPI / 25.4
    aside = round(ASIDE_MM * per_mm)
    moved_mm = np.random.default_rng(5).uniform(-shifts_mm, shifts_mm, (len(films.bits), 2))
    through: list[Plane] = []
    for (ink, film), moved_by in zip(films.bits, moved_mm, strict=True):
        bits = np.pad(film, aside).astype(np.float32)
        moved = np.array([[1, 0, 0], [0, 1, 0]], np.float32)
        moved[:, 2] = moved_by * per_mm
        bits = cv2.warpAffine(bits, moved, bits.shape[::-1])
        # ink runs outwards until the blurred bits fall to less than a half, with a soft edge
        soft = cv2.GaussianBlur(bits, (0, 0), spread_mm * per_mm)
        covered = np.clip((soft - _EDGE_AT) / _EDGE_SOFT + 0.5, 0.0, 1.0)
        for channel, solid in enumerate(SOLIDS[ink]):
            passed = 1.0 - covered * (1.0 - np.float32(solid ** (0.5 * deeper)))
            if len(through) <= channel:
                through.append(passed)
            else:
                through[channel] *= passed
    light = np.dstack([one * cv2.GaussianBlur(one, (0, 0), wander_mm * per_mm)
                       for one in through])
    true = []
    for patch in patches:
        left, top, right, bottom = (round((v + ASIDE_MM) * per_mm)
                                    for v in laid.box_mm(patch.row, patch.column))
        edge = round(1.4 * per_mm)
        true.append(light[top + edge:bottom - edge, left + edge:right - edge].mean(axis=(0, 1)))
    return PrintedSheet(laid=laid, patches=patches, light=light, per_mm=per_mm,
                        true=np.array(true, np.float64), moved_mm=moved_mm)


def true_light(sheet: PrintedSheet, taken: Taken) -> FloatArray:
    """What the picture's colours of light tell of each patch without noise, over the wood."""
    mixing = _mixing(taken)
    return np.asarray((sheet.true * WOOD) @ mixing.T / (WOOD @ mixing.T))


@dataclass(frozen=True, kw_only=True, eq=False)
class LaidBeside:
    """Squares of known light (N, 3) laid on the wood above the sheet, their middles (N, 2) in mm.

    From the picture's upper left.
    """

    light: FloatArray
    at_mm: FloatArray
    side_mm: float


def picture_of(sheet: PrintedSheet, taken: Taken, ground: FloatArray = WOOD,
               beside: LaidBeside | None = None) -> NDArray[np.uint8]:
    """A picture, (rows, columns, 3), in sRGB."""
    random = np.random.default_rng(taken.seed)
    reduced = min(1.0, 1.25 * taken.ppi / FILM_DPI)
    light = cv2.resize(sheet.light, None, fx=reduced, fy=reduced, interpolation=cv2.INTER_AREA)
    first, end = (round(share * light.shape[1]) for share in taken.part)
    light = light[:, first:end]
    seen = light * _wood(light.shape[:2], sheet.per_mm * reduced, taken.grain, ground, random)
    if beside is not None:
        side = round(beside.side_mm * sheet.per_mm * reduced)
        for middle, square in zip(beside.at_mm, beside.light, strict=True):
            left, top = np.rint(middle * sheet.per_mm * reduced - side / 2).astype(int)
            seen[top:top + side, left:left + side] = square
    seen *= _lighting(light.shape[:2], taken.uneven, random)[:, :, None]
    if taken.lattice_per_mm:
        seen *= _lattice(light.shape[:2], taken.lattice_per_mm / (sheet.per_mm * reduced))
    if taken.curl_mm:
        seen = _curled(seen, taken.curl_mm * sheet.per_mm * reduced)
    seen = _looked_at(seen, taken, taken.ppi / 25.4 / (sheet.per_mm * reduced))
    seen = cv2.GaussianBlur(seen, (0, 0), taken.blur_px)
    seen = seen * np.array(taken.cast, np.float32)
    seen = seen @ _mixing(taken).T.astype(np.float32) * np.float32(taken.exposure)
    seen += random.normal(0.0, taken.noise, seen.shape).astype(np.float32) * np.sqrt(
        np.maximum(seen, 0.02))
    coded = np.where(seen <= 0.0031308, 12.92 * seen,
                     1.055 * np.maximum(seen, 1e-6) ** (1 / 2.4) - 0.055)
    if taken.contrast:
        bent = np.clip(coded, 0.0, 1.0)
        bent = bent * bent * (3.0 - 2.0 * bent)
        coded = (1.0 - taken.contrast) * coded + taken.contrast * bent
    coded += taken.sharpened * (coded - cv2.GaussianBlur(coded, (0, 0), taken.radius_px))
    levels = np.rint(np.clip(coded, 0.0, 1.0) * 255).astype(np.uint8)
    return np.asarray(levels[:, ::-1] if taken.mirrored else levels)


def write_picture(sheet: PrintedSheet, taken: Taken, path: Path) -> Path:
    """Save a picture with sRGB's profile; as a JPEG where asked for, else as it is."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    image = Image.fromarray(picture_of(sheet, taken))
    if taken.jpeg:
        image.save(path, "JPEG", quality=taken.jpeg, icc_profile=profile, dpi=(taken.ppi,) * 2)
    else:
        image.save(path, "TIFF", icc_profile=profile)
    return path


def film_bits(path: Path) -> NDArray[np.bool_]:
    """What a film shows within its bleed box, by a library that did not write it."""
    with pypdfium2.PdfDocument(path) as document:
        page = document[0]
        # a hair less, or a page of whole pixels becomes one pixel taller and is stretched to it
        shown = page.render(scale=FILM_DPI / 72 * (1 - 1e-7), grayscale=True).to_pil()
        picture = np.asarray(shown) < 128
        left, bottom, right, top = (round(v * FILM_DPI / 72) for v in page.get_bleedbox())
    high = len(picture)
    return np.asarray(picture[high - top:high - bottom, left:right])


def _mixing(taken: Taken) -> FloatArray:
    return (1.0 - 3.0 * taken.mixed) * np.eye(3) + taken.mixed


def _wood(shape: tuple[int, int], per_mm: float, grain: float, ground: FloatArray,
          random: np.random.Generator) -> Plane:
    """Wood with fibres along the sheet's length, and slow changes."""
    rows, columns = shape
    fibres = random.normal(0.0, 1.0, (max(2, rows // 40), columns)).astype(np.float32)
    fibres = cv2.GaussianBlur(fibres, (0, 0), sigmaX=0.25 * per_mm, sigmaY=0.5)
    slow = random.normal(0.0, 1.0, (6, 8)).astype(np.float32)
    figure = cv2.resize(fibres / fibres.std(), (columns, rows), interpolation=cv2.INTER_LINEAR)
    figure += cv2.resize(slow, (columns, rows), interpolation=cv2.INTER_CUBIC)
    depth = np.array([0.8, 1.0, 1.3], np.float32)
    return np.asarray((1.0 + grain * figure[:, :, None] * depth) * ground.astype(np.float32))


def _lattice(shape: tuple[int, int], per_px: float) -> Plane:
    """The lines between a screen's pixels."""
    down, across = (1.0 + 0.12 * np.cos(2 * np.pi * per_px * np.arange(side)) for side in shape)
    return np.asarray((down[:, None] * across)[:, :, None], np.float32)


def _lighting(shape: tuple[int, int], uneven: float, random: np.random.Generator) -> Plane:
    """A smooth fall of light from one side to the other."""
    angle = random.uniform(0, 2 * np.pi)
    y, x = np.mgrid[0:shape[0], 0:shape[1]].astype(np.float32)
    way = np.cos(angle) * x / shape[1] + np.sin(angle) * y / shape[0]
    way = (way - way.min()) / (way.max() - way.min())
    return np.asarray(uneven + (1.0 - uneven) * way**1.5, np.float32)


def _curled(seen: Plane, by_px: float) -> Plane:
    rows, columns = seen.shape[:2]
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
    return np.asarray(cv2.remap(seen, x, y + np.float32(by_px) * (2 * x / columns - 1) ** 2,
                                cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))


def _looked_at(seen: Plane, taken: Taken, scale: float) -> Plane:
    """The sheet turned, tilted and swung before a camera three sheets away."""
    rows, columns = seen.shape[:2]
    corners = np.array([[-columns, -rows], [columns, -rows], [columns, rows], [-columns, rows]],
                       float) / 2 * scale
    turn, tilt, swing = np.radians([taken.turn, taken.tilt, taken.swing])
    flat = np.column_stack([corners @ [[np.cos(turn), np.sin(turn)],
                                       [-np.sin(turn), np.cos(turn)]], np.zeros(4)])
    about_x = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)],
                        [0, np.sin(tilt), np.cos(tilt)]])
    about_y = np.array([[np.cos(swing), 0, np.sin(swing)], [0, 1, 0],
                        [-np.sin(swing), 0, np.cos(swing)]])
    solid = flat @ about_x.T @ about_y.T
    away = 3.0 * max(rows, columns) * scale
    shown = solid[:, :2] * away / (away + solid[:, 2:])
    shown -= shown.min(axis=0)
    size = np.ceil(shown.max(axis=0)).astype(int)
    matrix = cv2.getPerspectiveTransform(
        np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float32),
        shown.astype(np.float32))
    grey = float(seen.mean()) * 0.6
    return np.asarray(cv2.warpPerspective(seen, matrix, (int(size[0]), int(size[1])),
                                          flags=cv2.INTER_AREA, borderValue=(grey,) * 3))
