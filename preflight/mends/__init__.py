"""Mends that are safe to make by machine: what to change in a job file, from what to what, why."""
