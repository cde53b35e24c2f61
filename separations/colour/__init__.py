"""Inks on wood to colours and back: ink colours, tone curves, press profiles, the print model."""
