"""The board's outline, and where on it ink may lie."""
