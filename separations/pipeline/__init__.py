"""The way from a job to its findings, pictures and films: stages, sessions and typed calls."""
