"""The board as DXF, SVG and 1:1 templates for other hands."""
