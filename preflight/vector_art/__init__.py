"""Drawings made of outlines: read from SVG, set from letters, and turned into areas in mm."""
