"""Moiré by simulation: the job's own dots through its own cloth, as the eye would see them."""
