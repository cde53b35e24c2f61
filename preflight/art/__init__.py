"""Pictures: their facts, colours, pixels and place on the board."""
