"""An ICC output profile of inks on wood: its tables from the print model, and its bytes."""
