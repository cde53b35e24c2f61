"""Our ICC output profiles as LittleCMS reads them.

Oracle: LittleCMS (https://www.littlecms.com, the engine that Pillow carries), in doubles, for four
inks and for more. Layout: ICC.1:2010 (ISO 15076-1), 7.2 (header), 7.3 (tag table), 8.5.2 (tags that
an output profile must have), 10.10 and 10.11 (curves and tables), from memory; read here by a few
lines that share nothing with the writer.
"""

from __future__ import annotations

import hashlib
import io
import struct
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageCms

from preflight.job_file.job import Job
from preflight.job_file.job_reader import read_job
from separations.colour.colorimetry import colour_difference, lab_to_xyz, srgb_to_xyz, xyz_to_lab
from separations.colour.icc.output_profile import OutputProfile, output_profile
from separations.colour.job_inks import separation_model, whole_model
from separations.planes.ink_lattice import LATTICE_NODES, build_ink_lattice
from tests import littlecms
from tests.small_art import write_small_job
from tests.spectral_inks import write_spectral_job

FloatArray = NDArray[np.float64]
pytestmark = pytest.mark.skipif(not littlecms.is_there(), reason="LittleCMS is not installed")

#: Of an output profile with colour tables, 8.5.2 of ICC.1:2010.
REQUIRED = {"desc", "cprt", "wtpt", "A2B0", "A2B1", "A2B2", "B2A0", "B2A1", "B2A2", "gamt"}
WHITE_UNDER = ('[[ink]]\nname = "Yellow"', """[[ink]]
name = "White"
over_white = [95, 0, -2]
over_black = [82, -1, -4]
prints = "underbase"
angle = 37.5
heat_limit = "140 °C"
[[ink]]
name = "Yellow\"""")
BLUE_LINES = ('[[ink]]\nname = "Black"', """[[ink]]
name = "Night blue"
over_white = [25, 15, -45]
prints = "line work"
angle = 67.5
heat_limit = "140 °C"
[[ink]]
name = "Black\"""")


class Made(NamedTuple):
    """A job, its profile, and which of its inks each channel is."""

    job: Job
    profile: OutputProfile
    channels: list[int]


def made(folder: Path, *replacements: tuple[str, str]) -> Made:
    job = read_job(write_small_job(folder, *replacements))
    profile = output_profile(job)
    names = [ink.name for ink in job.ink]
    return Made(job, profile, [names.index(name) for name in profile.channels])


@pytest.fixture(scope="module")
def four(tmp_path_factory: pytest.TempPathFactory) -> Made:
    return made(tmp_path_factory.mktemp("four"))


def tags_of(content: bytes) -> dict[str, bytes]:
    (count,) = struct.unpack_from(">I", content, 128)
    rows = [struct.unpack_from(">4sII", content, 132 + 12 * row) for row in range(count)]
    assert all(start % 4 == 0 and start + size <= len(content) for _, start, size in rows)
    return {name.decode(): content[start:start + size] for name, start, size in rows}


def random_tones(job: Job, count: int, limit: float = 9.0) -> FloatArray:
    tones = np.random.default_rng(7).random((count, len(job.ink)))
    return np.asarray(tones * np.minimum(1.0, limit / tones.sum(axis=1, keepdims=True)))


def absolute_lab(one: Made, tones: FloatArray) -> FloatArray:
    """Lab of the job's inks' tones, in print order, as LittleCMS takes it from the profile."""
    return littlecms.colours_of(one.profile.content, one.profile.space, tones[:, one.channels],
                                littlecms.ABSOLUTE)


def test_the_file_is_a_whole_output_profile_of_version_4(four: Made) -> None:
    content = four.profile.content
    assert struct.unpack_from(">I", content)[0] == len(content)
    assert (content[8:12], content[12:16], content[16:20], content[20:24], content[36:40]) == (
        b"\x04\x40\x00\x00", b"prtr", b"CMYK", b"Lab ", b"acsp")
    assert struct.unpack_from(">6H", content, 24) == (2026, 11, 25, 0, 0, 0)
    blank = bytearray(content)
    blank[44:48] = blank[64:68] = bytes(4)
    blank[84:100] = bytes(16)
    assert hashlib.md5(blank, usedforsecurity=False).digest() == content[84:100]
    tags = tags_of(content)
    assert tags.keys() >= REQUIRED
    assert tags["A2B0"] == tags["A2B2"] != tags["A2B1"]
    # inks are printed yellow, magenta, cyan, black: channels 2, 1, 0, 3
    assert tags["clro"] == b"clro" + struct.pack(">4xI4B", 4, 2, 1, 0, 3)


def test_pillow_opens_it_and_finds_every_intent(four: Made) -> None:
    profile = ImageCms.ImageCmsProfile(io.BytesIO(four.profile.content))
    assert profile.profile.xcolor_space == "CMYK"
    assert profile.profile.profile_description == (
        "Marsh light: Yellow, Magenta, Cyan, Black on wood. Predicted by a model, nothing "
        "measured.")
    for intent in ImageCms.Intent:
        assert ImageCms.isIntentSupported(profile, intent, ImageCms.Direction.OUTPUT)
        assert ImageCms.isIntentSupported(profile, intent, ImageCms.Direction.INPUT)


def test_the_table_read_by_hand_gives_the_models_colours(four: Made) -> None:
    """Second reader: curves and table of A2B1 unpacked here, nodes held against the model."""
    tag = tags_of(four.profile.content)["A2B1"]
    inputs, outputs = tag[8], tag[9]
    at_colour, at_matrix, at_middle, at_table, at_device = struct.unpack_from(">5I", tag, 12)
    assert (tag[:4], inputs, outputs, at_matrix, at_middle) == (b"mAB ", 4, 3, 0, 0)
    assert tag[at_colour:at_colour + 12] == b"curv" + bytes(8)  # nothing is changed
    grid = tag[at_table:at_table + inputs]
    assert tag[at_table + 16] == 2
    table = np.frombuffer(tag, ">u2", int(np.prod(list(grid))) * 3, at_table + 20)
    places = np.random.default_rng(2).integers(0, grid[0], (200, 4))
    tones = np.empty((200, 4))
    for channel in range(inputs):
        (count,) = struct.unpack_from(">I", tag, at_device + 8)
        curve = np.frombuffer(tag, ">u2", count, at_device + 12) / 65535
        at_device += 12 + -(-2 * count // 4) * 4
        tones[:, channel] = np.interp(places[:, channel] / (grid[0] - 1), curve,
                                      np.linspace(0.0, 1.0, count))
    read = table.reshape(*grid, 3)[tuple(places.T)] / 65535 * (100, 255, 255) - (0, 128, 128)
    inked = np.empty_like(tones)
    inked[:, four.channels] = tones
    model = whole_model(four.job)
    white = model.predict_xyz(np.zeros(4))  # no ink is lighter than the wood
    relative = xyz_to_lab(model.predict_xyz(inked) / white * (0.9642, 1.0, 0.8249))
    assert np.abs(read - relative).max() < 0.05


def test_film_tones_come_out_as_the_model_has_them(four: Made) -> None:
    tones = random_tones(four.job, 5000)
    away = colour_difference(absolute_lab(four, tones), whole_model(four.job).predict_lab(tones))
    assert away.mean() <= 0.3
    assert away.max() <= 1.0
    # what the command tells of itself, by its own reading of its tables
    assert four.profile.to_colour_de00 == pytest.approx((away.mean(), away.max()), abs=0.1)


def test_printable_colours_come_back(four: Made) -> None:
    content, space = four.profile.content, four.profile.space
    limit = four.job.separation.tone_sum_limit.fraction
    tones = random_tones(four.job, 5000, limit)[:, four.channels]
    for intent in (littlecms.RELATIVE, littlecms.ABSOLUTE):
        lab = littlecms.colours_of(content, space, tones, intent)
        back = littlecms.tones_of(content, space, lab, intent)
        again = littlecms.colours_of(content, space, back, intent)
        assert colour_difference(again, lab).mean() <= 0.6
        assert back.sum(axis=1).max() <= limit + 0.01


def test_white_takes_no_ink_and_black_the_darkest_overprint(four: Made) -> None:
    content, space = four.profile.content, four.profile.space
    for intent in (littlecms.PERCEPTUAL, littlecms.RELATIVE, littlecms.SATURATION):
        white, black = littlecms.tones_of(content, space, np.array([[100.0, 0, 0], [0, 0, 0]]),
                                          intent)
        assert white.max() < 0.005, "film tones up to 1 % print nothing by this job's curve"
        assert black.sum() > 2.2


def test_a_photograph_through_the_profile_looks_as_our_proof_has_it(four: Made) -> None:
    """The editor's way (perceptual to inks, absolute to the screen) against the job's own."""
    job, wanted = four.job, four.job.separation
    steps = np.linspace(0.0, 1.0, LATTICE_NODES)
    nodes = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1)
    lattice = build_ink_lattice(
        separation_model(job), xyz_to_lab(srgb_to_xyz(nodes)), adaptation=wanted.adaptation,
        tone_sum_limit=wanted.tone_sum_limit.fraction, black_ink=3,
        black_generation=wanted.black_generation)
    ours = separation_model(job).predict_lab(lattice.nodes[2:31:4, 2:31:4, 2:31:4] / 65535)
    lab = xyz_to_lab(srgb_to_xyz(nodes[2:31:4, 2:31:4, 2:31:4])).reshape(-1, 3)
    theirs = littlecms.tones_of(four.profile.content, "CMYK", in_reference_medium(lab),
                                littlecms.PERCEPTUAL)
    seen = littlecms.colours_of(four.profile.content, "CMYK", theirs, littlecms.ABSOLUTE)
    away = colour_difference(seen, ours.reshape(-1, 3))
    assert away.mean() <= 0.6
    assert away.max() <= 4.0


def in_reference_medium(lab: FloatArray) -> FloatArray:
    """A picture's Lab with its black at that of the perceptual reference medium.

    Source: ICC.1:2010, 6.3.3: L* 3.1373 in place of 0; engines do so with black point
    compensation, which they use for this intent between profiles of version 4.
    """
    d50 = np.array([0.9642, 1.0, 0.8249])
    black = d50 * 0.0034731
    return xyz_to_lab(lab_to_xyz(lab) * (d50 - black) / d50 + black)


def test_a_cmyk_picture_of_the_films_tones_looks_like_our_proof(four: Made) -> None:
    """Eight bits all the way, as a picture editor has it: Pillow, CMYK to Lab, absolute."""
    tones = np.rint(random_tones(four.job, 4096, 2.6) * 255)
    picture = Image.fromarray(tones[:, four.channels].reshape(64, 64, 4).astype(np.uint8), "CMYK")
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(four.profile.content)),
        ImageCms.createProfile("LAB", 5000), "CMYK", "LAB",
        ImageCms.Intent.ABSOLUTE_COLORIMETRIC)
    found = ImageCms.applyTransform(picture, transform)
    assert found is not None
    light, a, b = np.moveaxis(np.asarray(found).reshape(-1, 3), -1, 0)
    lab = np.stack([light * (100 / 255), a.view(np.int8), b.view(np.int8)], axis=-1)
    away = colour_difference(lab, whole_model(four.job).predict_lab(tones / 255))
    assert away.mean() <= 0.6


def check_many_inks(one: Made) -> None:
    content, space = one.profile.content, one.profile.space
    tones = random_tones(one.job, 4000)
    away = colour_difference(absolute_lab(one, tones), whole_model(one.job).predict_lab(tones))
    assert one.profile.to_colour_de00 == pytest.approx((away.mean(), away.max()), abs=0.35)
    lit = littlecms.colours_of(content, space, random_tones(one.job, 1000, 1.5),
                               littlecms.RELATIVE)
    assert lit[:, 0].max() <= 100.0
    tags = tags_of(content)
    names = [tags["clrt"][12 + 38 * row:44 + 38 * row].rstrip(b"\0").decode()
             for row in range(len(one.job.ink))]
    assert names == [ink.name for ink in one.job.ink]


def test_two_inks_make_a_profile_of_two_channels(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # quick; colours to inks are not looked at
    monkeypatch.setattr("separations.colour.icc.output_profile._GRIDS", (17,))
    text = [(f'[[ink]]\nname = "{name}"\ncolour = "process {name.lower()}"\nangle = {angle}\n'
             'heat_limit = "140 °C"\n', "") for name, angle in (("Magenta", 82.5), ("Cyan", 22.5))]
    one = made(tmp_path, *text)
    assert (one.profile.space, one.profile.channels) == ("2CLR", ("Yellow", "Black"))
    check_many_inks(one)


@pytest.mark.long
def test_inks_that_a_coarse_table_misses_get_a_finer_one(tmp_path: Path) -> None:
    """Dark spectral inks under gloss: with 33 nodes 0.7 in the mean."""
    job = read_job(write_spectral_job(tmp_path, ("[mesh]", '[finish]\nvarnish = "gloss"\n[mesh]')))
    profile = output_profile(job)
    assert profile.there_and_back_de00[0] <= 0.4
    tones = random_tones(job, 4000, job.separation.tone_sum_limit.fraction)
    lab = littlecms.colours_of(profile.content, profile.space, tones, littlecms.RELATIVE)
    back = littlecms.tones_of(profile.content, profile.space, lab, littlecms.RELATIVE)
    again = littlecms.colours_of(profile.content, profile.space, back, littlecms.RELATIVE)
    assert colour_difference(again, lab).mean() <= 0.4


@pytest.mark.long
def test_an_underbase_and_a_line_ink_have_channels_of_their_own(tmp_path: Path) -> None:
    one = made(tmp_path, WHITE_UNDER, BLUE_LINES)
    assert one.profile.space == "6CLR"
    check_many_inks(one)
    lab = np.array([[100.0, 0, 0], [50, 20, 20], [30, 0, -40]])
    tones = littlecms.tones_of(one.profile.content, "6CLR", lab, littlecms.PERCEPTUAL)
    line = one.profile.channels.index("Night blue")
    assert np.abs(tones[:, line]).max() < 1e-6, "no photograph is made of a line work ink"
    assert tones[0, 0] > 0.9, "the lightest that can be printed is the white ink"
