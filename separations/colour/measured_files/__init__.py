"""Files of measuring programs and spreadsheets, read to rows of cells: CSV, CGATS text, CxF."""
