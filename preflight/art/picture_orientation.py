"""Which way up a camera said that its picture is."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

_EXIF_ORIENTATION = 0x0112
_PNG_SIGNATURE_BYTES = 8


def orientation_of(path: Path, image: Image.Image) -> int:
    """EXIF orientation still to be applied; Pillow turns TIFF pages itself."""
    if image.format == "TIFF" or (image.format == "PNG" and not _png_tells_exif(path)):
        return 1
    value = image.getexif().get(_EXIF_ORIENTATION, 1)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _png_tells_exif(path: Path) -> bool:
    """Whether a PNG has EXIF data; Pillow looks for it by decoding every pixel.

    Source: PNG specification, third edition: a chunk is its length, four letters, its data and a
    checksum, and eXIf may come after the pixels; in a text chunk EXIF is an older custom.
    """
    with path.open("rb") as file:
        file.seek(_PNG_SIGNATURE_BYTES)
        while len(head := file.read(8)) == 8:
            if head[4:] in {b"eXIf", b"zTXt", b"tEXt", b"iTXt"}:
                return True
            file.seek(int.from_bytes(head[:4], "big") + 4, 1)
        return False
