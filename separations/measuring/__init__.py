"""What the checks need to know of the films: what meshes hold of them, and how they beat."""
