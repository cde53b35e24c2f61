"""The press day: hits, screens and drying of one board or a run, in order."""
