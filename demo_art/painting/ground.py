"""What the ground looks like where a ray meets it: water, mud, sand, marsh and heath."""

from __future__ import annotations

import cv2
import numpy as np

from demo_art.painting.growth import KINDS, plant_tile
from demo_art.painting.noise_tiles import Field, Plane, blend, ease, fractal_tile, look_up
from demo_art.painting.sky import SUN_U
from demo_art.painting.terrain import FOCAL, HORIZON, PICTURE_SPAN, Terrain, path_m

_TILE_PX = 1024
_MUD, _WET_SAND, _DRY_SAND = (0.30, 0.265, 0.25), (0.56, 0.455, 0.35), (0.76, 0.64, 0.48)
_MARSH, _SEDGE, _SEA_LAVENDER = (0.37, 0.36, 0.20), (0.60, 0.48, 0.27), (0.47, 0.35, 0.43)
_LEVELS = 7
_BAND_RATIO = 1.055  # each plant band lies this much farther away than the one before it


class Ground:
    """Colours of the ground, at any position of the picture."""

    def __init__(self, terrain: Terrain, sky_plate: Plane, seed: int) -> None:
        self._terrain = terrain
        self._plate = sky_plate
        self._soft = fractal_tile(1024, 1.7, seed + 21, longest=0.4)
        self._grain = fractal_tile(1024, 1.05, seed + 22, longest=0.12)
        self._ripple = fractal_tile(1024, 0.7, seed + 23, longest=0.03, shortest_px=6.0)
        self._pyramids = {kind: _pyramid(plant_tile(_TILE_PX, kind, seed + 31 + number))
                          for number, kind in enumerate(KINDS)}

    def colour(self, u: Plane, v: Plane, distance: Plane) -> Plane:
        """Ground colour, (rows, cols, 3) float32, display-encoded 0..1, haze included."""
        near = self._terrain.nearness(u, distance)
        picture = self._flats(u, v, distance)
        rows = np.flatnonzero((near > 0.02).any(axis=1))
        if len(rows):
            part = slice(int(rows[0]), int(rows[-1]) + 1)
            heath = self._heath(u[part], v[part], distance[part])
            rough = look_up(self._grain, u[part] * 2400.0, v[part] * 2400.0)
            share = ease(0.30, 0.62, near[part] + 0.06 * rough)
            picture[part] = picture[part] * (1 - share[..., None]) + heath * share[..., None]
        return _haze(picture, u, distance)

    def _flats(self, u: Plane, v: Plane, distance: Plane) -> Plane:
        step = np.log(distance)
        fade = ease(0.004, 0.10, v - HORIZON)
        soft = look_up(self._soft, u * 330.0, step * 190.0)
        fine = look_up(self._grain, u * 800.0, step * 760.0) * (0.35 + 0.65 * fade)
        channel = self._terrain.channel_m(u, distance)
        height: Field = self._terrain.plan_height_m(u, distance)
        shore = np.minimum(np.abs(channel) / 6.0, 1.0)
        height = height + (0.26 * soft - 0.06) * ease(0, 1, shore) + 0.055 * fine * fade
        ripple = self._sand_ripples(u, step, soft) * fade * ease(0.02, 0.2, height)
        ripple = ripple * ease(1.25, 0.7, height)
        height = height + 0.045 * ripple
        water = ease(0.035, -0.035, height)
        wet = np.maximum(ease(0.62, 0.03, height + 0.05 * ripple), water)
        colour = _flat_colours(height, soft, fine, ripple)
        mirror = self._mirror(u, v, step, water, ripple)
        bank = np.exp(-((height - 0.10) / 0.06) ** 2) * (0.35 + 0.65 * ease(0.0, -4.0, channel - 4))
        colour *= 1.0 - 0.38 * (bank * (1 - water))[..., None]
        picture = blend(colour, mirror, wet * 0.60 * (1 - water) + water * 0.93)
        return self._glitter(picture, u, step, wet, water)

    def _sand_ripples(self, u: Plane, step: Plane, soft: Plane) -> Plane:
        warp = look_up(self._soft, u * 900.0 + 50.0, step * 620.0)
        phase = step * 330.0 + warp * 4.0 + soft * 9.0 + u * 8.0
        strength = np.clip(0.7 + 0.5 * look_up(self._soft, u * 500.0, step * 300.0 + 99), 0, 1.3)
        ripples: Plane = np.sin(phase) * strength
        return ripples

    def _mirror(self, u: Plane, v: Plane, step: Plane, water: Plane, ripple: Plane) -> Plane:
        waves = look_up(self._ripple, u * 700.0, step * 1500.0)
        broad = look_up(self._soft, u * 200.0 + 400.0, step * 420.0)
        breeze = ease(-0.3, 1.2, broad)
        down = v - HORIZON
        shift = waves * (0.010 + 0.030 * breeze) * (0.35 + 0.65 * water)
        shift *= np.sqrt(np.maximum(down, 0.0) + 0.01)
        climb = down * 0.74 + 0.006 + shift + ripple * (1 - water) * 0.018
        rows, columns = self._plate.shape[:2]
        x = (u + waves * 0.006) * np.float32(columns / PICTURE_SPAN)
        y = (HORIZON - np.abs(climb)) * np.float32(rows / HORIZON)
        mirror: Plane = cv2.remap(self._plate, x.astype(np.float32), y.astype(np.float32),
                                  cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        deep = np.asarray((0.20, 0.235, 0.255), np.float32)
        dark = np.clip(0.10 + 0.46 * down + 0.05 * breeze, 0, 0.5)
        return blend(mirror, np.broadcast_to(deep, mirror.shape), dark * (0.5 + 0.5 * water))

    def _glitter(self, picture: Plane, u: Plane, step: Plane, wet: Plane, water: Plane) -> Plane:
        column = np.exp(-((u - SUN_U) / (0.20 + 0.05 * (9.0 - step))) ** 2)
        spark = look_up(self._ripple, u * 1500.0, step * 2600.0)
        shine = column * wet * (0.12 + water * (0.16 + 0.85 * ease(-0.1, 1.3, spark)))
        return blend(picture, (1.0, 0.86, 0.58), np.clip(shine, 0, 0.95))

    def _heath(self, u: Plane, v: Plane, distance: Plane) -> Plane:
        step = np.log(distance)
        bearing = (u - 2.5) / np.float32(FOCAL)
        x, z = distance * np.sin(bearing), distance * np.cos(bearing)
        clump = look_up(self._terrain.bumps, x * 26.0, z * 26.0)
        jag = look_up(self._grain, u * 1900.0, v * 1900.0)
        band = step / np.float32(np.log(_BAND_RATIO)) + 0.85 * clump + 0.16 * jag
        number = np.floor(band)
        up = band - number
        texture = self._texture(number, u, v)
        patch = look_up(self._soft, u * 260.0 + 60.0, step * 120.0) + 0.22 * jag
        other = look_up(self._soft, u * 420.0 + 700.0, step * 190.0 + 300.0) + 0.22 * jag
        dune = ease(1.42, 1.02, u + 0.10 * patch)
        meadow = ease(1.2, 0.9, np.abs(u - 1.6) + 0.3 * other)
        grass = np.clip(ease(0.35, 0.75, patch) + 0.9 * meadow, 0, 1)
        picture = blend(texture["heather"], texture["grass"], grass)
        gorse = ease(0.95, 1.25, other) * ease(2.2, 3.0, u)
        picture = blend(picture, texture["gorse"], gorse)
        bare = ease(0.25, -0.35, other + 0.16 * jag - 0.2)
        picture = blend(picture, blend(texture["marram"], self._sand(u, v, step), bare), dune)
        light = (0.54 + 0.96 * up ** 0.8) * (1.0 + 0.10 * clump)
        light = light + (1.0 - light) * dune * (0.35 + 0.65 * bare)
        swell = look_up(self._soft, u * 90.0, step * 90.0 + 40.0)
        light = light * (1.0 + 0.10 * swell)
        relief, reach = self._terrain.relief, np.minimum(0.06 * distance, 4.0)
        slope = (look_up(relief, x * 9.0 + 5.0 * reach, z * 9.0 + 8.0 * reach)
                 - look_up(relief, x * 9.0, z * 9.0)) / reach
        light = light * np.clip(1.0 - slope * 1.6, 0.58 + 0.14 * dune, 1.35 - 0.20 * dune)
        picture = picture * np.clip(light, 0.25, 1.7)[..., None]
        return self._path(picture, path_m(u, v, distance), v, jag, up)

    def _sand(self, u: Plane, v: Plane, step: Plane) -> Plane:
        warp = look_up(self._soft, u * 500.0, step * 300.0)
        ripple = np.sin(step * 230.0 + warp * 6.0 + u * 60.0)
        fleck = look_up(self._grain, u * 2400.0 + 5.0, v * 2400.0)
        tone = 0.93 + 0.045 * ripple + 0.040 * fleck + 0.06 * warp
        sand: Plane = np.asarray((0.90, 0.775, 0.59), np.float32) * tone[..., None]
        return sand

    def _path(self, picture: Plane, aside: Plane, v: Plane, jag: Plane, up: Plane) -> Plane:
        width = 0.50 + 0.16 * jag
        share = ease(1.0, 0.55, aside / np.maximum(width, 0.2)) * ease(0.474, 0.486, v)
        tone = 0.86 + 0.06 * jag + 0.14 * up - 0.16 * np.exp(-(aside / 0.16 - 1.2) ** 2)
        sand = np.asarray((0.80, 0.69, 0.53), np.float32) * tone[..., None]
        return blend(picture, sand, share * 0.92)

    def _texture(self, number: Plane, u: Plane, v: Plane) -> dict[str, Plane]:
        """Upright plant pictures, one scale and one offset for each band of distance."""
        away = np.exp(number * np.float32(np.log(_BAND_RATIO)))
        texel = away * np.float32(2300.0 / 15.0)  # tile pixels per picture height
        level = np.clip(np.round(np.log2(texel / 2400.0) + 0.2), 0, _LEVELS - 1)
        x, y = u * texel + number * 387.7, v * texel + number * 211.3
        textures = {kind: np.zeros((*u.shape, 3), np.float32) for kind in KINDS}
        for depth in (int(each) for each in np.unique(level)):
            here = level == depth
            rows = np.flatnonzero(here.any(axis=1))
            part = slice(int(rows[0]), int(rows[-1]) + 1)
            side = np.float32(_TILE_PX >> depth)
            tx, ty = x[part] / (1 << depth), y[part] / (1 << depth)
            tx, ty = tx - side * np.floor(tx / side), ty - side * np.floor(ty / side)
            for kind in KINDS:
                drawn = cv2.remap(self._pyramids[kind][depth], tx, ty, cv2.INTER_LINEAR)
                textures[kind][part][here[part]] = drawn[here[part]]
        return textures


def _flat_colours(height: Field, soft: Plane, fine: Plane, ripple: Plane) -> Plane:
    picture = np.broadcast_to(np.asarray(_MUD, np.float32), (*height.shape, 3))
    picture = blend(picture, _WET_SAND, ease(0.05, 0.55, height))
    picture = blend(picture, _DRY_SAND, ease(0.45, 0.95, height))
    marsh = np.broadcast_to(np.asarray(_MARSH, np.float32), picture.shape)
    marsh = blend(marsh, _SEDGE, ease(-0.8, 1.2, soft + 0.5 * fine))
    marsh = blend(marsh, _SEA_LAVENDER, ease(0.4, 1.4, 0.7 * fine - 0.8 * soft) * 0.7)
    picture = blend(picture, marsh * (1.0 + 0.20 * fine[..., None]),
                    ease(1.18, 1.30, height + 0.04 * fine + 0.10 * soft))
    tone = 1.0 + 0.075 * ripple + 0.05 * fine
    shaded: Plane = picture * tone[..., None]
    return shaded


def _haze(picture: Plane, u: Plane, distance: Plane) -> Plane:
    sun = np.exp(-((u - SUN_U) / 0.8) ** 2)
    air = (np.asarray((0.68, 0.65, 0.68), np.float32)
           + np.asarray((0.30, 0.13, -0.12), np.float32) * sun[..., None])
    share = 1.0 - np.exp(-np.maximum(distance - 25.0, 0.0) / (2500.0 - 400.0 * sun))
    return blend(picture, air, 0.82 * share)


def _pyramid(tile: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> list[Plane]:
    """The tile at full, half, quarter ... size as 0..1, each closed by its first row and column."""
    levels = []
    for depth in range(_LEVELS):
        side = tile.shape[0] >> depth
        small = cv2.resize(tile, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32)
        levels.append(np.pad(small / 255.0, ((0, 1), (0, 1), (0, 0)), mode="wrap"))
    return levels
