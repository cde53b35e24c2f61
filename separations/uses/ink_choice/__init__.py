"""Which of a shop's inks suit a photograph on a wood."""
