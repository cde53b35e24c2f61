"""What a photograph says of the camera that took it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from preflight.art.opened_image import opened_image
from preflight.input_problem import InputProblem

#: Source: Exif 2.32 (CIPA DC-008): the tags' numbers.
_EXIF, _GPS, _FOCAL_35MM = 0x8769, 0x8825, 0xA405
_LAT_REF, _LAT, _LON_REF, _LON, _ALT_REF, _ALT = 1, 2, 3, 4, 5, 6
#: Diagonal of a 35 mm frame, 36 × 24 mm. Source: Exif 2.32, FocalLengthIn35mmFilm; that the
#: diagonals are compared is CIPA DCG-001, from memory.
_DIAGONAL_MM = math.hypot(36.0, 24.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraExif:
    """What a camera wrote into its file; each is None where it did not, or wrote nonsense.

    Attributes
    ----------
    focal_diagonals : float or None
        Focal length over the diagonal of the picture.
    place : tuple of float or None
        Latitude, longitude (degrees) and height over the sea (metres; 0 where not told).
    """

    focal_diagonals: float | None = None
    place: tuple[float, float, float] | None = None


def camera_exif(path: Path) -> CameraExif:
    """What a photo's EXIF says of focal length and place.

    A picture that has been read and that Pillow does not open (floating point) tells nothing.
    """
    try:
        with opened_image(path) as image:
            exif = image.getexif()
            lens, gps = dict(exif.get_ifd(_EXIF)), dict(exif.get_ifd(_GPS))
    except InputProblem:
        return CameraExif()
    focal = _number(lens.get(_FOCAL_35MM))
    latitude, longitude = _degrees(gps.get(_LAT)), _degrees(gps.get(_LON))
    place = None
    if latitude is not None and longitude is not None and latitude < 90 and longitude <= 180:
        height = _number(gps.get(_ALT)) or 0.0
        below = gps.get(_ALT_REF) in (1, b"\x01")
        place = (-latitude if gps.get(_LAT_REF) == "S" else latitude,
                 -longitude if gps.get(_LON_REF) == "W" else longitude,
                 -height if below else height)
    return CameraExif(
        focal_diagonals=focal / _DIAGONAL_MM if focal and 5 < focal < 3000 else None, place=place)


def _number(value: Any) -> float | None:
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    return number if math.isfinite(number) else None


def _degrees(value: Any) -> float | None:
    """Degrees, minutes and seconds as degrees."""
    if not isinstance(value, tuple) or len(value) != 3:
        return None
    parts = [_number(part) for part in value]
    if any(part is None or part < 0 for part in parts):
        return None
    degrees, minutes, seconds = (part or 0.0 for part in parts)
    return degrees + minutes / 60 + seconds / 3600
