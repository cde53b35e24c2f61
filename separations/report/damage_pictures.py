"""Pictures of what is damaged in an artwork: where in it, and its pixels there."""

from __future__ import annotations

import base64
from html import escape

import cv2
import numpy as np
from numpy.typing import NDArray

from preflight.facts.submission import Submission
from preflight.photo_quality.damage_facts import DamageFacts
from separations.proof.shown_pictures import ReportPicture

_EDGE = "#c2185b"
#: Widths of the two views, the gap between them, in the drawing's units.
_WIDE, _GAP = 640.0, 20.0


def damage_pictures(submission: Submission) -> tuple[ReportPicture, ...]:
    """One picture for each damage that was found."""
    return tuple(_picture(damage) for damage in submission.damage)


def _picture(damage: DamageFacts) -> ReportPicture:
    where = "The frame shows what may be damaged." if damage.share is not None else \
        "Where the damage lies is not known."
    return ReportPicture(
        title=f"Damage of {damage.file}",
        alt=f"The picture with what may be damaged in a frame: {damage.share_told}; {damage.says}",
        caption=f"As the file stores it. Top: the whole picture; bottom: its own pixels where the "
                f"damage begins. {where} {damage.says[:1].upper()}{damage.says[1:]}.",
        data=_svg(damage).encode("utf-8"), media_type="image/svg+xml", place=damage.place)


def _svg(damage: DamageFacts) -> str:
    whole = _WIDE * damage.small.shape[0] / damage.small.shape[1]
    close = _WIDE * damage.close.shape[0] / damage.close.shape[1]
    left, upper, right, lower = damage.box
    frame = "" if damage.share is None else (
        f'<rect x="{left * _WIDE:.1f}" y="{upper * whole:.1f}" '
        f'width="{(right - left) * _WIDE:.1f}" height="{(lower - upper) * whole:.1f}" '
        f'fill="none" stroke="{_EDGE}" stroke-width="4"/>')
    return (f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="-4 -4 {_WIDE + 8:.0f} '
            f'{whole + close + _GAP + 8:.1f}"><title>{escape(f"Damage of {damage.file}")}</title>'
            f"{_image(damage.small, 0.0, whole)}{frame}"
            f"{_image(damage.close, whole + _GAP, close)}</svg>")


def _image(pixels: NDArray[np.uint8], top: float, height: float) -> str:
    coded = cv2.imencode(".png", np.ascontiguousarray(pixels[:, :, ::-1]))[1]
    data = base64.b64encode(coded.tobytes()).decode("ascii")
    return (f'<image y="{top:.1f}" width="{_WIDE:.0f}" height="{height:.1f}" '
            f'preserveAspectRatio="none" href="data:image/png;base64,{data}"/>')
