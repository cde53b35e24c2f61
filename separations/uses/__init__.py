"""What stands on the way: gangs, ink choice, calibration, drawings of the board, mended jobs."""
