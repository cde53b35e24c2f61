"""Grids of pixels on the board, planes kept in tiles, and how films differ in size from prints."""
