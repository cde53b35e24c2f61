"""What the meshes hold of the films' own bits: dots, holes, lines, gaps and letters."""
