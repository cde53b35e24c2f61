"""The demo job: an invented board and the code that painted its landscape."""
