"""Colour that numbers in a picture's file tell in place of a profile.

That is gAMA, cHRM, sRGB and cICP of PNG, and nclx of AVIF.

Source: Portable Network Graphics specification, third edition, clauses 4.3 (cICP before iCCP, sRGB
and gAMA) and 11.3.2; ITU-T H.273, tables 2 and 3 (code points of primaries and transfer).
"""

from __future__ import annotations

import struct
from pathlib import Path

from preflight.art.icc_profile import ToneCurve
from preflight.art.source_colour import SRGB_CURVE, SRGB_XY, SourceColour, Xy, encoding, srgb
from preflight.files.regular_files import open_regular
from preflight.input_problem import InputProblem

_D65 = (0.3127, 0.3290)
#: x and y of red, green, blue and white by their code points.
_PRIMARIES: dict[int, tuple[Xy, Xy, Xy, Xy]] = {
    1: SRGB_XY, 9: ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046), _D65),
    11: ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), (0.314, 0.351)),
    12: ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060), _D65)}
_BT709 = ToneCurve(formula=(1 / 0.45, 1 / 1.099, 0.099 / 1.099, 1 / 4.5, 0.081, 0.0, 0.0))
_TRANSFERS = {1: _BT709, 6: _BT709, 14: _BT709, 15: _BT709, 13: SRGB_CURVE,
              4: ToneCurve(formula=(2.2, 1, 0, 0, 0, 0, 0)),
              5: ToneCurve(formula=(2.8, 1, 0, 0, 0, 0, 0)), 8: ToneCurve()}
_HDR = {16: "PQ", 18: "HLG"}
#: What writers of sRGB pictures give as their gamma, in hundred-thousandths.
_GAMMA_OF_SRGB, _ABOUT = 45_455, 500
_MOST_CHUNKS, _MOST_SEARCHED = 200, 65_536


def coded_colour(path: Path, form: str, *, has_profile: bool) -> SourceColour | None:
    """The colour that numbers in a PNG or AVIF tell, or None.

    None where they tell nothing, or where a profile comes first.

    Parameters
    ----------
    path : Path
        The picture.
    form : str
        Its format in Pillow's words.
    has_profile : bool
        Whether a profile is embedded. Only a PNG's cICP comes before it.

    Raises
    ------
    InputProblem
        When the picture is coded for displays of high dynamic range.
    """
    if form == "AVIF":
        return None if has_profile else _of_avif(path)
    if form != "PNG":
        return None
    told = _png_chunks(path)
    if b"cICP" in told:
        primaries, transfer, matrix, full = told[b"cICP"][:4].ljust(4, b"\0")
        if matrix == 0 and full == 1:
            return _of_codes(path, primaries, transfer, "cICP")
    if has_profile:
        return None
    if b"sRGB" in told:
        return srgb(assumed=False)
    return _of_gamma(told)


def _of_gamma(told: dict[bytes, bytes]) -> SourceColour | None:
    if len(told.get(b"gAMA", b"")) != 4:
        return None
    (gamma,) = struct.unpack(">I", told[b"gAMA"])
    if not 1_000 <= gamma <= 1_000_000:
        return None
    xy = SRGB_XY
    if len(told.get(b"cHRM", b"")) == 32:
        white, red, green, blue = (
            (x / 100_000, y / 100_000) for x, y in struct.iter_unpack(">II", told[b"cHRM"]))
        xy = (red, green, blue, white)
        if any(y < 0.01 or x + y > 1 for x, y in xy):
            return None
    plain = all(abs(one - other) < 0.002 for pair, known in zip(xy, SRGB_XY, strict=True)
                for one, other in zip(pair, known, strict=True))
    if plain and abs(gamma - _GAMMA_OF_SRGB) <= _ABOUT:
        return srgb(assumed=False)
    curve = ToneCurve(formula=(100_000 / gamma, 1, 0, 0, 0, 0, 0))
    try:
        return encoding(f"gamma {100_000 / gamma:.3g}, as the file says", xy, curve)
    except ValueError:  # primaries on one line
        return None


def _of_codes(path: Path, primaries: int, transfer: int, name: str) -> SourceColour | None:
    if transfer in _HDR:
        raise InputProblem(
            where=str(path), found=f"a picture of high dynamic range ({_HDR[transfer]})",
            would_do="one of standard range, such as sRGB or Display P3,")
    xy, curve = _PRIMARIES.get(primaries), _TRANSFERS.get(transfer)
    if xy is None or curve is None:
        return None
    if (primaries, transfer) == (1, 13):
        return srgb(assumed=False)
    return encoding(f"{name} {primaries}, {transfer}", xy, curve)


def _of_avif(path: Path) -> SourceColour | None:
    with open_regular(path, would_do="a picture") as file:
        head = file.read(_MOST_SEARCHED)
    at = head.find(b"colrnclx")
    if at < 0 or len(head) < at + 12:
        return None
    primaries, transfer = struct.unpack_from(">HH", head, at + 8)
    return _of_codes(path, primaries, transfer, "nclx")


def _png_chunks(path: Path) -> dict[bytes, bytes]:
    """What a PNG tells before its pixels, by kind; the first of each kind counts."""
    told: dict[bytes, bytes] = {}
    with open_regular(path, would_do="a picture") as file:
        file.seek(8)
        for _ in range(_MOST_CHUNKS):
            head = file.read(8)
            if len(head) < 8 or head[4:] in (b"IDAT", b"IEND"):
                break
            size = int.from_bytes(head[:4], "big")
            body = file.read(min(size, 64))
            told.setdefault(head[4:], body[:size])
            file.seek(size - len(body) + 4, 1)
    return told
