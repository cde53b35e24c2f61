"""The commands of ``topsheet``, and what they say on the terminal."""
