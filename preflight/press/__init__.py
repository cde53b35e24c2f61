"""What cloth and halftone are, how they beat, and what the eye sees of it."""
