"""Ink for a board and for the run."""
