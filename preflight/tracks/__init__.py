"""Recorded tracks, the camera that took a photograph, and what of the ground it sees."""
