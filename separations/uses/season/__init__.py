"""Many jobs in one call: what is to be made, by how many processes, and one page over all."""
