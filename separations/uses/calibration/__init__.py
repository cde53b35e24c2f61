"""The test sheet, and what was measured on the press."""
