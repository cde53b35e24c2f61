"""The printed test sheet, read from pictures of a scanner or a camera."""
