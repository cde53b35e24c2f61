"""From art on the board to one plane of film tones for each ink."""
