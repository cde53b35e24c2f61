"""What stands up from the ground: pines, a shed, grasses at our feet, and birds."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from demo_art.painting.growth import Blades, Picture, draw_blades
from demo_art.painting.sky import SUN_U
from demo_art.painting.terrain import PICTURE_SPAN

_SHIFT = 4

# u and v of the foot, height in picture heights, lean (radians, + right); far ones first
_PINES = ((4.66, 0.402, 0.135, -0.03), (4.57, 0.408, 0.105, 0.05), (4.30, 0.452, 0.150, 0.06),
          (4.42, 0.446, 0.235, -0.05), (3.83, 0.540, 0.13, 0.10), (0.50, 0.478, 0.16, 0.13),
          (0.63, 0.515, 0.285, 0.16), (3.70, 0.600, 0.335, -0.11))
_NEEDLES = np.array((((14, 19, 15), (44, 52, 34)), ((18, 24, 16), (66, 74, 40)),
                     ((28, 32, 18), (104, 102, 52)), ((44, 44, 22), (168, 146, 74))), np.float64)
_GRASSES = np.array((((46, 38, 22), (196, 160, 92)), ((40, 36, 20), (150, 128, 66)),
                     ((54, 42, 24), (232, 190, 118)), ((36, 34, 18), (108, 104, 50)),
                     ((62, 46, 26), (214, 150, 84)), ((30, 28, 16), (92, 80, 44))), np.float64)
_SPRIGS = np.array((((40, 28, 22), (150, 92, 124)), ((34, 28, 18), (118, 100, 62)),
                    ((46, 30, 34), (196, 132, 160)), ((38, 26, 28), (132, 76, 108))), np.float64)
_BIRDS = ((1.42, 0.294), (1.475, 0.283), (1.56, 0.287), (1.51, 0.305), (1.64, 0.279), (2.31, 0.292),
          (2.345, 0.286), (2.40, 0.295))


def draw_foreground(picture: Picture, seed: int) -> None:
    """Draw all of it into the picture, far things first."""
    rng = np.random.default_rng(seed + 51)
    _draw_shed(picture, 4.085, 0.4685, 0.030)
    for u, v, tall, lean in _PINES:
        _draw_pine(picture, (u, v), tall, lean, rng)
    _draw_birds(picture, rng)
    _draw_tufts(picture, rng)


def _draw_pine(picture: Picture, foot: tuple[float, float], tall: float, lean: float,
               rng: np.random.Generator) -> None:
    t = np.linspace(0.0, 1.0, 24)
    sway = rng.normal(0, 0.022) * np.sin(t * 5.0 + rng.uniform(0, 6))
    trunk = np.stack([foot[0] + tall * (lean * t ** 1.4 + sway), foot[1] - tall * 0.95 * t], -1)
    thick = tall * (0.030 * (1 - t) ** 0.8 + 0.005)
    limbs = []
    for _ in range(21):
        start = rng.uniform(0.44, 0.97)
        root = np.array([np.interp(start, t, trunk[:, 0]), np.interp(start, t, trunk[:, 1])])
        reach = tall * rng.uniform(0.11, 0.34) * (1.12 - 0.62 * abs(start - 0.68) / 0.3)
        side = rng.choice([-1.0, 1.0]) + 2.0 * lean
        s = np.linspace(0, 1, 9)[:, None]
        rise = rng.uniform(-0.05, 0.42)
        limbs.append(root + reach * np.concatenate(
            [side * s, -(rise * s + 0.22 * s ** 2 - 0.20 * np.sin(s * 3.0))], axis=1))
    clumps = [limb[k] for limb in limbs for k in (5, 6, 7, 8)] + [trunk[-1], trunk[-2], trunk[-3]]
    centres = np.array(clumps) + rng.normal(0, 0.014 * tall, (len(clumps), 2))
    dim = rng.random(len(centres)) < 0.5
    _draw_needles(picture, centres[dim], tall, 0.0, rng)
    _draw_limb(picture, trunk, thick, (38, 27, 22), (126, 74, 46))
    for limb in limbs:
        thin = np.linspace(0.010, 0.003, len(limb)) * tall
        _draw_limb(picture, limb, thin, (40, 30, 24), (92, 58, 38))
    _draw_bark(picture, trunk, thick, rng)
    _draw_needles(picture, centres[rng.random(len(centres)) < 0.72], tall, 0.9, rng)


def _draw_limb(picture: Picture, line: NDArray[np.float64], thick: NDArray[np.float64],
               low: tuple[int, int, int], high: tuple[int, int, int]) -> None:
    scale = picture.shape[0] * (1 << _SHIFT)
    normal = np.stack([-np.gradient(line[:, 1]), np.gradient(line[:, 0])], axis=-1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
    left, right = line - normal * thick[:, None] / 2, line + normal * thick[:, None] / 2
    for k in range(len(line) - 1):
        share = k / (len(line) - 1)
        colour = [a + (b - a) * share for a, b in zip(low, high, strict=True)]
        ring = np.rint(np.array([left[k], left[k + 1], right[k + 1], right[k]]) * scale)
        cv2.fillConvexPoly(picture, ring.astype(np.int32), colour, cv2.LINE_AA, _SHIFT)


def _draw_bark(picture: Picture, trunk: NDArray[np.float64], thick: NDArray[np.float64],
               rng: np.random.Generator) -> None:
    count = 260
    height = picture.shape[0]
    at = rng.uniform(0, 0.96, count)
    t = np.linspace(0, 1, len(trunk))
    across = rng.uniform(-0.46, 0.46, count)
    wide = np.interp(at, t, thick)
    middle = np.interp(at, t, trunk[:, 0])
    roots = np.stack([middle + across * wide, np.interp(at, t, trunk[:, 1])], axis=-1)
    lit = (across * np.sign(SUN_U - trunk[0, 0]) + rng.normal(0, 0.25, count)) > 0.15
    palette = np.array((((24, 17, 14), (30, 21, 17)), ((120, 76, 50), (188, 116, 70))), np.float64)
    draw_blades(picture, Blades(
        roots_px=roots * height, length_px=rng.uniform(0.3, 1.3, count) * wide * height,
        lean_rad=rng.normal(0, 0.15, count), bend=np.zeros(count), palette=palette,
        pick=lit.astype(np.int64), width_px=height * wide.max() * 0.07), 4)


def _draw_needles(picture: Picture, centres: NDArray[np.float64], tall: float, light: float,
                  rng: np.random.Generator) -> None:
    each = 300
    height = picture.shape[0]
    order = np.argsort(centres[:, 1])
    host = np.repeat(order, each)
    count = len(host)
    reach = tall * rng.uniform(0.022, 0.052, len(centres))[host]
    turn = rng.uniform(0, 2 * np.pi, count)
    out = np.sqrt(rng.random(count)) * np.where(rng.random(count) < 0.06, 1.25, 1.0)
    offset = np.stack([np.cos(turn) * 1.6, np.sin(turn) * 0.58], axis=-1) * (out * reach)[:, None]
    sunward = np.sign(SUN_U - centres[host, 0]) * 0.45
    lit = (np.cos(turn) * out * sunward - np.sin(turn) * out * 0.9 + rng.normal(0, 0.42, count)
           + 0.15) * light
    pick = np.digitize(lit, [0.12, 0.62, 1.12]).astype(np.int64)
    inner = np.lexsort((np.sin(turn) * out * -1.0, np.repeat(np.arange(len(order)), each)))
    draw_blades(picture, Blades(
        roots_px=((centres[host] + offset) * height)[inner],
        length_px=(rng.uniform(0.009, 0.021, count) * tall * height)[inner],
        lean_rad=(np.cos(turn) * 1.2 + rng.normal(0, 0.35, count))[inner],
        bend=rng.normal(0, 0.08, count)[inner], palette=_NEEDLES, pick=pick[inner],
        width_px=max(1.0, 0.0019 * tall * height)), len(order))


def _draw_shed(picture: Picture, u: float, v: float, tall: float) -> None:
    def fill(ring: list[tuple[float, float]], colour: tuple[int, int, int]) -> None:
        points = (np.array(ring) * tall + (u, v)) * picture.shape[0] * (1 << _SHIFT)
        cv2.fillPoly(picture, [np.rint(points).astype(np.int32)], colour, cv2.LINE_AA, _SHIFT)

    fill([(-0.95, 0), (-0.95, -0.62), (0.05, -0.62), (0.05, 0)], (44, 38, 38))
    fill([(0.05, 0), (0.05, -0.62), (0.35, -1.0), (0.65, -0.62), (0.65, 0)], (66, 53, 46))
    fill([(-1.03, -0.58), (-0.72, -1.03), (0.37, -1.03), (0.03, -0.58)], (120, 70, 52))
    fill([(0.37, -1.05), (0.73, -0.57), (0.66, -0.56), (0.33, -0.99)], (176, 118, 82))
    for plank in range(7):
        x = -0.9 + plank * 0.135
        fill([(x, -0.02), (x, -0.58), (x + 0.025, -0.58), (x + 0.025, -0.02)], (30, 26, 27))
    fill([(-0.68, -0.24), (-0.68, -0.46), (-0.42, -0.46), (-0.42, -0.24)], (255, 206, 120))
    fill([(0.24, 0), (0.24, -0.42), (0.46, -0.42), (0.46, 0)], (34, 28, 27))


def _draw_birds(picture: Picture, rng: np.random.Generator) -> None:
    height = picture.shape[0]
    t = np.linspace(-1, 1, 15)
    for u, v in _BIRDS:
        span, lift = rng.uniform(0.008, 0.012), rng.uniform(0.25, 0.6)
        arch = 0.9 * np.abs(t) ** 2.4 - 1.3 * np.abs(t)
        wing = np.stack([t, lift * arch + 0.12 * t], axis=-1)
        points = (wing * span + (u, v)) * height * (1 << _SHIFT)
        cv2.polylines(picture, [np.rint(points).astype(np.int32)], False, (58, 56, 66),
                      max(1, round(height * 0.0013)), cv2.LINE_AA, _SHIFT)


def _draw_tufts(picture: Picture, rng: np.random.Generator) -> None:
    height = picture.shape[0]
    tufts = 620
    u = rng.uniform(0.0, PICTURE_SPAN, tufts)
    weight = np.exp(-((u - 1.55) / 0.75) ** 2) + 0.30 * np.exp(-((u - 3.15) / 0.22) ** 2) + 0.10
    u = u[rng.random(tufts) < weight]
    v = 1.03 - 0.13 * rng.random(len(u)) ** 1.3
    each = 38
    order = np.argsort(v)
    host = np.repeat(order, each)
    count = len(host)
    near = (v[host] - 0.72) / 0.28
    scatter = np.stack([rng.normal(0, 0.014, count), rng.normal(0, 0.006, count)], axis=-1)
    roots = np.stack([u, v], axis=-1)[host] + scatter
    pick = (rng.integers(0, len(_GRASSES), len(u))[host]
            + (rng.random(count) < 0.5) * rng.integers(0, len(_GRASSES), count)) % len(_GRASSES)
    swell = 0.85 + 0.35 * np.sin(u * 9.0) + 0.2 * np.sin(u * 23.0)
    tallness = rng.uniform(0.45, 1.3, len(u)) * swell
    length = rng.uniform(0.045, 0.135, count) * near * tallness[host]
    lean, bend = rng.normal(0.10, 0.20, count), rng.normal(0.12, 0.20, count)
    draw_blades(picture, Blades(
        roots_px=roots * height, length_px=length * height, lean_rad=lean, bend=bend,
        palette=_GRASSES, pick=pick, width_px=height * 0.00125), 60)
    _draw_seed_heads(picture, roots, length, (lean, bend), rng)
    _draw_sprigs(picture, rng)


def _draw_seed_heads(picture: Picture, roots: NDArray[np.float64], length: NDArray[np.float64],
                     shape: tuple[NDArray[np.float64], NDArray[np.float64]],
                     rng: np.random.Generator) -> None:
    chosen = np.flatnonzero((rng.random(len(roots)) < 0.055) & (length > 0.075))
    lean, bend = shape[0][chosen], shape[1][chosen]
    each = 46
    at = rng.uniform(0.70, 1.0, (len(chosen), each))
    x = roots[chosen, 0, None] + length[chosen, None] * (np.sin(lean)[:, None] * at
                                                         + bend[:, None] * at ** 2)
    y = roots[chosen, 1, None] - length[chosen, None] * (np.cos(lean)[:, None] * at
                                                         - 0.45 * np.abs(bend)[:, None] * at ** 2)
    count = x.size
    height = picture.shape[0]
    palette = np.array((((92, 66, 44), (206, 160, 108)), ((70, 48, 36), (150, 106, 78)),
                        ((120, 88, 60), (246, 208, 150))), np.float64)
    draw_blades(picture, Blades(
        roots_px=np.stack([x.ravel(), y.ravel()], axis=-1) * height,
        length_px=rng.uniform(0.004, 0.010, count) * height,
        lean_rad=np.repeat(lean + bend, each) + rng.normal(0, 0.55, count),
        bend=rng.normal(0, 0.1, count),
        palette=palette, pick=rng.integers(0, 3, count), width_px=height * 0.0008), 8)


def _draw_sprigs(picture: Picture, rng: np.random.Generator) -> None:
    count = 5200
    height = picture.shape[0]
    u = rng.uniform(2.2, PICTURE_SPAN, count)
    u = u[(np.abs(u - 3.66) > 0.11) & (rng.random(count) < np.clip((u - 2.1) / 0.9, 0, 1))]
    v = np.sort(1.03 - 0.12 * rng.random(len(u)) ** 1.6)
    count = len(u)
    patch = np.clip(np.sin(u * 11.0) + np.sin(u * 27.0 + 2.0) + rng.normal(0, 0.8, count), -1, 1)
    keep = patch > -0.4
    u, v, count = u[keep], v[keep], int(keep.sum())
    length = rng.uniform(0.020, 0.050, count)
    lean, pick = rng.normal(0, 0.28, count), rng.integers(0, len(_SPRIGS), count)
    draw_blades(picture, Blades(
        roots_px=np.stack([u, v], -1) * height, length_px=length * height, lean_rad=lean,
        bend=rng.normal(0, 0.1, count), palette=_SPRIGS * 0.8, pick=pick,
        width_px=height * 0.0011), 24)
    each = 16
    at = rng.uniform(0.40, 1.02, (count, each))
    x = u[:, None] + length[:, None] * np.sin(lean)[:, None] * at + rng.normal(0, 0.0012, at.shape)
    y = v[:, None] - length[:, None] * np.cos(lean)[:, None] * at
    many = x.size
    draw_blades(picture, Blades(
        roots_px=np.stack([x.ravel(), y.ravel()], -1) * height,
        length_px=rng.uniform(0.0025, 0.0045, many) * height,
        lean_rad=rng.normal(0, 0.9, many), bend=np.zeros(many), palette=_SPRIGS * 1.06,
        pick=np.repeat(pick, each), width_px=height * 0.0012), 24)
