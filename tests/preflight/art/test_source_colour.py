"""Profiles and encodings: reading them, and CIELAB from them."""

from __future__ import annotations

import pickle
import struct
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.art.artwork import open_artwork
from preflight.art.artwork_pixels import load_pixels
from preflight.art.icc_profile import ProfileFault, ToneCurve, read_profile
from preflight.art.source_colour import SRGB_CURVE, colour_of_profile, srgb

GREY_STEPS = np.linspace(0.0, 1.0, 52)


def tag(kind: bytes, body: bytes) -> bytes:
    return kind + bytes(4) + body


def fixed(*values: float) -> bytes:
    return struct.pack(f">{len(values)}i", *(round(v * 65536) for v in values))


def profile(tags: dict[bytes, bytes], space: bytes = b"RGB ", connection: bytes = b"XYZ ") -> bytes:
    head = bytearray(128)
    head[8:12] = bytes([4, 0x30, 0, 0])
    head[12:24] = b"mntr" + space + connection
    head[36:40] = b"acsp"
    head[68:80] = fixed(0.9642, 1.0, 0.8249)
    start = 132 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        padded = data + bytes(-len(data) % 4)
        table += struct.pack(">4sII", name, start + len(body), len(data))
        body += padded
    whole = bytes(head) + table + body
    return struct.pack(">I", len(whole)) + whole[4:]


def rgb_profile(curve: bytes, **extra: bytes) -> bytes:
    return profile({
        b"rXYZ": tag(b"XYZ ", fixed(0.4361, 0.2225, 0.0139)),
        b"gXYZ": tag(b"XYZ ", fixed(0.3851, 0.7169, 0.0971)),
        b"bXYZ": tag(b"XYZ ", fixed(0.1431, 0.0606, 0.7141)),
        b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
        **{name.encode(): data for name, data in extra.items()}})


@pytest.mark.parametrize(("kind", "numbers"), [
    (0, (2.2,)), (1, (2.4, 0.9, 0.1)), (2, (2.0, 0.9, 0.1, 0.05)),
    (3, (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)),
    (4, (2.4, 0.9, 0.08, 0.07, 0.05, 0.01, 0.002))])
def test_parametric_curves_follow_their_formula(kind: int, numbers: tuple[float, ...]) -> None:
    body = struct.pack(">HH", kind, 0) + fixed(*numbers)
    curve = read_profile(rgb_profile(tag(b"para", body))).curves[0]
    g, a, b, c, d, e, f = (numbers + (0.0,) * 7)[:7]
    x = np.linspace(0, 1, 98)
    with np.errstate(invalid="ignore", divide="ignore"):
        wanted = (
            x**g if kind == 0 else
            np.where(x >= -b / a, (a * x + b)**g, 0.0) if kind == 1 else
            np.where(x >= -b / a, (a * x + b)**g + c, c) if kind == 2 else
            np.where(x >= d, (a * x + b)**g, c * x) if kind == 3 else
            np.where(x >= d, (a * x + b)**g + e, c * x + f))
    assert curve.linear(x) == pytest.approx(np.clip(wanted, 0, 1), abs=2e-4)


def test_sampled_curves_are_joined_by_lines() -> None:
    table = struct.pack(">I4H", 4, 0, 6553, 32768, 65535)
    curve = read_profile(rgb_profile(tag(b"curv", table))).curves[1]
    assert curve.linear(np.array([1 / 6]))[0] == pytest.approx(6553 / 65535 / 2)
    gamma = read_profile(rgb_profile(tag(b"curv", struct.pack(">IH", 1, 461)))).curves[0]
    assert gamma.linear(np.array([0.5]))[0] == pytest.approx(0.5 ** (461 / 256))
    straight = read_profile(rgb_profile(tag(b"curv", struct.pack(">I", 0)))).curves[0]
    assert straight == ToneCurve()
    assert straight.linear(np.array([-1.0, 0.3, 2.0])).tolist() == [0.0, 0.3, 1.0]


def test_table_profiles_have_no_curves() -> None:
    raw = rgb_profile(tag(b"curv", struct.pack(">I", 0)), A2B0=tag(b"mft2", bytes(64)))
    assert read_profile(raw).curves == ()
    assert colour_of_profile(read_profile(raw), "tables") is None


def test_cut_or_foreign_profiles_are_faults() -> None:
    sound = rgb_profile(tag(b"curv", struct.pack(">IH", 1, 461)))
    read_profile(sound)
    for length in (0, 20, 127, 131, 140, 250, len(sound) - 8):
        with pytest.raises(ProfileFault):
            read_profile(sound[:length])
    with pytest.raises(ProfileFault):
        read_profile(sound[:12] + b"link" + sound[16:])


def test_white_and_black_are_exact() -> None:
    colour = srgb(assumed=True)
    assert colour.lab(np.ones(3)) == pytest.approx([100, 0, 0], abs=1e-9)
    assert colour.lab(np.zeros(3)) == pytest.approx([0, 0, 0], abs=1e-9)
    greys = colour.lab(np.repeat(GREY_STEPS[:, None], 3, axis=1))
    assert np.abs(greys[:, 1:]).max() < 1e-9
    assert (np.diff(greys[:, 0]) > 0).all()
    assert SRGB_CURVE.linear(np.array([0.04045]))[0] == pytest.approx(0.04045 / 12.92, rel=1e-3)


def test_lightness_scaled_grey_is_lightness() -> None:
    raw = profile({b"kTRC": tag(b"curv", struct.pack(">I", 0))}, b"GRAY", b"Lab ")
    colour = colour_of_profile(read_profile(raw), "grey")
    assert colour is not None
    lab = colour.lab(np.repeat(GREY_STEPS[:, None], 3, axis=1))
    assert lab[:, 0] == pytest.approx(100 * GREY_STEPS, abs=1e-9)
    assert np.abs(lab[:, 1:]).max() < 1e-9


def test_shape_is_kept_and_colour_can_be_pickled() -> None:
    colour = srgb(assumed=False)
    assert colour.lab(np.zeros((2, 5, 3))).shape == (2, 5, 3)
    assert pickle.loads(pickle.dumps(colour)) == colour
    assert hash(colour) == hash(srgb(assumed=False))


def test_profile_for_other_channels_is_refused(tmp_path: Path) -> None:
    grey = profile({b"kTRC": tag(b"curv", struct.pack(">IH", 1, 461))}, b"GRAY")
    Image.new("RGB", (20, 20)).save(tmp_path / "a.png", icc_profile=grey)
    art = open_artwork(tmp_path / "a.png")
    assert art.colour.assumed
    assert "it is for GRAY" in art.remarks[0]
    Image.new("L", (20, 20)).save(tmp_path / "b.png", icc_profile=grey)
    assert not open_artwork(tmp_path / "b.png").colour.assumed


def test_table_profile_is_applied_on_reading(tmp_path: Path) -> None:
    """An RGB profile whose table swaps red and green (two nodes a side, straight between)."""
    primaries = np.array([[0.4361, 0.2225, 0.0139], [0.3851, 0.7169, 0.0971],
                          [0.1431, 0.0606, 0.7141]])[[1, 0, 2]]
    nodes = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), -1).reshape(-1, 3)
    values = np.clip(nodes @ primaries / (1 + 32767 / 32768) * 65535, 0, 65535).round()
    identity = fixed(1, 0, 0, 0, 1, 0, 0, 0, 1)
    ramp = struct.pack(">2H", 0, 65535) * 3
    lut = tag(b"mft2", bytes([3, 3, 2, 0]) + identity + struct.pack(">HH", 2, 2) + ramp
              + values.astype(">u2").tobytes() + ramp)
    raw = rgb_profile(tag(b"curv", struct.pack(">I", 0)), A2B0=lut, A2B1=lut,
                      wtpt=tag(b"XYZ ", fixed(0.9642, 1.0, 0.8249)))
    Image.new("RGBA", (20, 20), (255, 0, 0, 77)).save(tmp_path / "a.png", icc_profile=raw)
    art = open_artwork(tmp_path / "a.png")
    assert art.converts_colour
    assert "is made of tables" in art.remarks[0]
    assert not art.colour.assumed
    pixel = load_pixels(art).band(0, 1)[0, 0]
    assert np.abs(pixel.astype(int) - (0, 255, 0, 77)).max() <= 3


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("formula", [
    (3e4, 9.0, 1.0, 0.0, 0.0, 0.0, 0.0), (-3e4, 1.0, 0.0, 1.0, 0.0, 0.0, 0.0),
    (2.2, 1e308, 1e308, 1e308, 0.0, -1e308, 0.0)])
def test_a_damaged_curve_gives_light_all_the_same(formula: tuple[float, ...]) -> None:
    g, a, b, c, d, e, f = formula
    curve = ToneCurve(formula=(g, a, b, c, d, e, f))
    light = curve.linear(np.linspace(0, 1, 9))
    assert ((light >= 0) & (light <= 1)).all()
    assert not curve.is_linear
