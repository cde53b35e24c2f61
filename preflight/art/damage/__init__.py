"""Whether a picture file is as it was saved: checksums, missing parts, and marks in its pixels."""
