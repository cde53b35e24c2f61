"""What the computing stands on: compiled code, memory, threads and progress."""
