"""Drawings of a job's board for other hands: DXF, SVG, and a template to lay on the real board."""
