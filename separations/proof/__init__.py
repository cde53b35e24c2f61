"""Pictures of the board before it is printed."""
