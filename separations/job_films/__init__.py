"""The job's own films, ink by ink, and what else its film printer takes."""
