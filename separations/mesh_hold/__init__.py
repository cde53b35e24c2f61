"""What the mesh holds of the films' own bits: dots, holes, lines and gaps."""
