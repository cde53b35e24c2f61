"""Whether a picture file is as it was saved: check sums, missing parts, and marks in its pixels."""
