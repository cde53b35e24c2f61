"""What a photograph really holds: detail, blocks, bands, clipped ends and noise."""
