"""The code that paints the demo picture; it is not installed with the program."""
