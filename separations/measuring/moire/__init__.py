"""The job's dots through its cloth, on each other, and against the photograph."""
