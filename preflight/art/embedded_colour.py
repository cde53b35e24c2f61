"""What a picture's embedded profile says of its colours."""

from __future__ import annotations

import io
import struct

from PIL import Image, ImageCms

from preflight.art.icc_profile import ProfileFault, read_profile
from preflight.art.source_colour import SourceColour, colour_of_profile, srgb

#: What image libraries raise on broken files.
IMAGE_FAULTS = (OSError, SyntaxError, ValueError, TypeError, EOFError, IndexError, KeyError,
                OverflowError, AssertionError, struct.error, Image.DecompressionBombError)


def embedded_colour(mode: str, profile: bytes | None, remarks: list[str]
            ) -> tuple[SourceColour, str, bool]:
    """The meaning of the pixels, the profile's name, and whether pixels must be converted.

    Parameters
    ----------
    mode : str
        The channels in Pillow's words.
    profile : bytes or None
        The embedded profile.
    remarks : list of str
        What a careful reader should know is added here.
    """
    if mode == "LAB":
        remarks.append("CIELAB pixels are converted to sRGB on reading.")
        return srgb(assumed=False), "CIELAB", True
    if profile is None:
        remarks.append("No colour profile is embedded; sRGB is assumed.")
        if mode == "CMYK":
            remarks.append("CMYK without a profile: its colours are a guess.")
        return srgb(assumed=True), "", False
    name = _profile_name(profile)
    try:
        read = read_profile(profile)
        fits = {"CMYK": read.space == "CMYK"}.get(mode, read.space == "RGB" or (
            read.space == "GRAY" and (mode in {"1", "L", "LA"} or mode.startswith("I;16"))))
        if not fits:
            raise ProfileFault(f"it is for {read.space}")
        colour = colour_of_profile(read, name)
        if colour is not None:
            return colour, name, False
        build_transform(profile, "CMYK" if mode == "CMYK" else "RGB", read.space)
    except (ProfileFault, ImageCms.PyCMSError, *IMAGE_FAULTS) as fault:
        remarks.append(f"The embedded profile {name!r} cannot be used ({fault}); "
                       "sRGB is assumed.")
        return srgb(assumed=True), name, False
    remarks.append(f"The embedded profile {name!r} is made of tables; pixels are converted to "
                   "sRGB on reading (relative colorimetric, black point compensation).")
    return srgb(assumed=False), name, True


def build_transform(profile: bytes | None, mode: str, space: str
                    ) -> ImageCms.ImageCmsTransform:
    """The conversion of 8-bit pixels to sRGB: relative colorimetric, black point compensated.

    Parameters
    ----------
    profile : bytes or None
        The embedded profile; None stands for CIELAB under D50.
    mode : str
        ``RGB``, ``L``, ``CMYK`` or ``LAB``: what the pixels are handed over as.
    space : str
        The profile's colour space; grey profiles take ``L``.
    """
    source = (ImageCms.createProfile("LAB", 5000) if profile is None
              else ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    return ImageCms.buildTransform(
        source, ImageCms.createProfile("sRGB"), "L" if space == "GRAY" else mode, "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.BLACKPOINTCOMPENSATION)


def _profile_name(profile: bytes) -> str:
    try:
        text = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    except (ImageCms.PyCMSError, *IMAGE_FAULTS):
        return "unnamed"
    return "".join(c for c in " ".join(text.split()) if c.isprintable())[:80] or "unnamed"
