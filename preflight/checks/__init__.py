"""The checks made before anything is exposed, one module a subject."""
