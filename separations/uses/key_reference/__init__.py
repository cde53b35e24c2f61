"""The keys of job, gang and stock files, told and as JSON Schema."""
