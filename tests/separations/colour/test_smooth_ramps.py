"""Smooth ramps printed on wood: what turns back that the photograph does not, and how smoothly.

128 ramps of coded sRGB: greys, 24 full and 24 dull hues to white and to black, skies, skins. The
bounds are what was reached, with a little room. Greys never turn back. Those that do end at the
wood's own tint where the photograph's end at none: hues between red and magenta, whose b* can only
be level or fall and rise; or they are blues, of which dark ones can be printed and light ones not.
"""

from __future__ import annotations

import colorsys
from functools import cache

import numpy as np
from numpy.typing import NDArray

from separations.colour.ink_colours import print_model, process_ink
from separations.colour.print_model import predict_image_lab
from separations.colour.tone_curve import PUBLISHED_SCREEN_CURVE
from separations.planes.ink_lattice import InkLattice, build_ink_lattice
from separations.planes.separation import separate
from tests.colour_samples import BAMBOO_LAB, PROCESS_INK_NAMES, srgb_to_lab

Array = NDArray[np.float64]
Colour = tuple[float, float, float]

MODEL = print_model(BAMBOO_LAB, [process_ink(name) for name in PROCESS_INK_NAMES],
                    tone_curves=[PUBLISHED_SCREEN_CURVE] * 4)
STEPS = 256
KINDS = ("greys", "skies", "skins", "dull to white", "dull to black", "full to white",
         "full to black")
GREYS = [(0.0, 1.0), (0.0, 0.5), (0.5, 1.0), (0.8, 1.0)]
#: From dark to light; invented, like those that photographs show.
SKIES: list[tuple[Colour, Colour]] = [
    ((.12, .35, .70), (.92, .95, .97)), ((.05, .15, .40), (.55, .70, .85)),
    ((.35, .55, .80), (1., 1., 1.)), ((.50, .70, .90), (.98, .98, 1.)),
    ((.30, .45, .60), (.80, .85, .90)), ((.00, .25, .45), (.40, .75, .80)),
    ((.95, .50, .30), (1., .90, .70)), ((.50, .30, .50), (1., .80, .60)),
    ((.20, .20, .40), (.95, .60, .40)), ((.60, .75, .90), (1., .95, .85)),
    ((.10, .30, .30), (.70, .90, .85)), ((.40, .45, .50), (.95, .96, .97)),
    ((.20, .50, .75), (.75, .90, .95)), ((.00, .10, .25), (.00, .45, .60))]
SKINS: list[tuple[Colour, Colour]] = [
    ((.25, .13, .08), (.85, .62, .48)), ((.35, .20, .14), (.98, .86, .76)),
    ((.50, .30, .22), (1., .93, .87)), ((.18, .10, .07), (.60, .40, .28)),
    ((.60, .40, .32), (.95, .78, .68)), ((.40, .25, .20), (.90, .72, .60)),
    ((.55, .30, .25), (.98, .80, .75)), ((.30, .20, .12), (.93, .80, .60)),
    ((.70, .50, .42), (1., .95, .92)), ((.20, .12, .10), (.80, .55, .45)),
    ((.45, .28, .20), (.88, .66, .52)), ((.60, .42, .30), (.96, .85, .70)),
    ((.50, .33, .30), (.93, .75, .70)), ((.35, .22, .15), (.75, .52, .38))]


def ramps(kind: str) -> Array:
    """Coded sRGB, shape (n, STEPS, 3)."""
    way = np.linspace(0.0, 1.0, STEPS)[:, None]
    if kind == "random":
        pairs = np.random.default_rng(5).random((200, 2, 3))
        return np.asarray(pairs[:, :1] * (1 - way) + pairs[:, 1:] * way)
    ends: list[tuple[Colour, Colour]]
    if kind == "greys":
        ends = [((low,) * 3, (high,) * 3) for low, high in GREYS]
    elif kind in ("skies", "skins"):
        ends = SKIES if kind == "skies" else SKINS
    else:
        strong, value = (1.0, 1.0) if kind.startswith("full") else (0.5, 0.75)
        end = (1.0, 1.0, 1.0) if kind.endswith("white") else (0.0, 0.0, 0.0)
        ends = [(colorsys.hsv_to_rgb(hue / 24, strong, value), end) for hue in range(24)]
    return np.array([np.array(one) * (1 - way) + np.array(other) * way for one, other in ends])


@cache
def lattice() -> InkLattice:
    nodes = np.linspace(0.0, 1.0, 33)
    cube = np.stack(np.meshgrid(nodes, nodes, nodes, indexing="ij"), axis=-1)
    return build_ink_lattice(MODEL, srgb_to_lab(cube), tone_sum_limit=2.6, black_ink=3)


@cache
def printed(kind: str) -> tuple[Array, Array]:
    """Lab of the ramps and of their prints."""
    planes = separate(np.rint(ramps(kind) * 65535.0).astype(np.uint16), lattice())
    return srgb_to_lab(ramps(kind)), predict_image_lab(planes, MODEL).astype(np.float64)


def turned_back(lab: Array) -> Array:
    """How far each ramp and axis goes back on its way, shape (n, 3)."""
    rise = (np.maximum.accumulate(lab, axis=1) - lab).max(axis=1)
    fall = (lab - np.minimum.accumulate(lab, axis=1)).max(axis=1)
    return np.asarray(np.minimum(rise, fall))


def beyond_source(kind: str) -> Array:
    source, print_lab = printed(kind)
    return turned_back(print_lab) - turned_back(source)


def test_greys_never_turn_back() -> None:
    assert beyond_source("greys").max() <= 0.3


def test_lightness_never_turns_back() -> None:
    assert max(beyond_source(kind)[:, 0].max() for kind in KINDS) <= 0.3


def test_few_courses_turn_back() -> None:
    found = np.concatenate([beyond_source(kind) for kind in KINDS])
    assert (found > 0.3).sum() <= 42
    assert (found > 1.0).sum() <= 11
    assert (found > 3.0).sum() <= 1


def test_skins_and_skies_turn_back_little() -> None:
    skins, skies = beyond_source("skins"), beyond_source("skies")
    assert skins.max() <= 1.2
    assert (skins > 0.3).sum() <= 5
    # one navy that turns light blue: 5 in b*
    assert skies.max() <= 5.0
    assert (skies > 0.3).sum() <= 5
    assert (skies > 2.0).sum() <= 1


def test_dull_hues_turn_back_by_less_than_one() -> None:
    both = np.concatenate([beyond_source("dull to white"), beyond_source("dull to black")])
    assert both.max() <= 1.0
    assert (both > 0.3).sum() <= 21


def test_full_hues_turn_back_by_less_than_three() -> None:
    both = np.concatenate([beyond_source("full to white"), beyond_source("full to black")])
    assert both.max() <= 2.9
    assert (both > 0.3).sum() <= 11


def test_random_ways_between_colours_turn_back_less_than_before() -> None:
    """Ways that no mapping was made for; before, 53 of the 600 turned by over 3, 461 in all."""
    found = beyond_source("random")
    assert (found > 3.0).sum() <= 37
    assert np.maximum(found, 0.0).sum() <= 370.0


def test_no_kink_at_the_surface_of_what_can_be_printed() -> None:
    for kind in KINDS:
        bend = np.linalg.norm(np.diff(printed(kind)[1], 2, axis=1), axis=-1)
        assert bend.max() <= 0.65
