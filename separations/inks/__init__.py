"""Inks as colours, their tone curves, and what was measured on the press."""
