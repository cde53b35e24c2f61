"""Closing the loop: a test sheet printed and measured, ink weighed, and what follows for jobs."""
