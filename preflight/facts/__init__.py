"""What was measured of a job, as values: all that the checks see."""
