"""The job file: its values, its tables, and what they must have to do with each other."""
