"""From inks on wood to colour: tristimulus arithmetic, layering, halftone colour."""
