"""A small job with two recorded tracks, made up with its landmarks and its ground."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from preflight.tracks.camera import Camera
from preflight.tracks.local_frame import LocalFrame
from tests.small_art import write_small_job

Array = NDArray[np.float64]
#: The small job's photo.
SIZE_PX = (1240, 360)
ORIGIN = (46.5, -27.25, 0.0)
#: Looking to the north from 100 m up, level: right, down and ahead are east, down and north.
CAMERA = Camera(
    figures=np.array([0, 0, 100.0, np.pi / 2, 0, 0, np.log(1100.0), 0.0]),
    centre_px=(SIZE_PX[0] / 2, SIZE_PX[1] / 2), covariance=np.zeros((8, 8)))
#: East, north, up (metres).
LANDMARKS = np.array([
    (-400, 900, 60), (-150, 1400, 130), (100, 800, 40), (300, 1000, 160), (560, 1250, 20),
    (-700, 1600, 250), (30, 1900, 220), (820, 1800, 330), (-520, 1250, 0)], np.float64)


def earth(local_m: Array) -> tuple[Array, Array, Array]:
    """Latitude, longitude and height of local places."""
    return LocalFrame(*ORIGIN).places_of(local_m)


def gpx_of(*tracks: Array) -> str:
    """A GPX file of tracks in local metres, with words that nobody is to find again."""
    body = ""
    for local in tracks:
        points = "".join(
            f'<trkpt lat="{lat:.8f}" lon="{lon:.8f}"><ele>{height:.3f}</ele>'
            f"<time>2031-07-0{1 + n % 9}T04:05:06Z</time><name>Whisper Hollow</name></trkpt>"
            for n, (lat, lon, height) in enumerate(zip(*earth(local), strict=True)))
        body += f"<trk><name>Whisper Hollow</name><trkseg>{points}</trkseg></trk>"
    return ('<gpx version="1.1" creator="Whisper Hollow" '
            f'xmlns="http://www.topografix.com/GPX/1/1">{body}</gpx>')


def landmark_tables(marks: Array | None = None, places: Array = LANDMARKS) -> str:
    """The landmarks as a job has them."""
    pixels = CAMERA.pixels_of(LANDMARKS)[0] if marks is None else marks
    return "".join(
        f'[[landmark]]\nat = ["{u:.3f} px", "{v:.3f} px"]\nlatitude = {lat:.9f}\n'
        f'longitude = {lon:.9f}\nheight = "{height:.3f} m"\n'
        for (u, v), lat, lon, height in zip(pixels, *earth(places), strict=True))


def walk(north: float = 1100.0, up: float = 60.0, count: int = 120) -> Array:
    """A way from the left to the right of the photo."""
    east = np.linspace(-450, 450, count)
    return np.column_stack([east, north + 60 * np.sin(east / 90), np.full(count, up)])


def write_track_job(folder: Path, tracks: str, *walks: Array, landmarks: str | None = None,
                    further: str = "") -> Path:
    """Write the small job with tracks; ``tracks`` are its tables."""
    tables = (landmark_tables() if landmarks is None else landmarks) + tracks + further
    folder.parent.mkdir(exist_ok=True)
    path = write_small_job(folder, ("[halftone]", f"{tables}\n[halftone]"))
    (folder / "walks.gpx").write_text(gpx_of(*walks), encoding="utf-8")
    return path
