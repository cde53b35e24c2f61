"""What a run made and measured, told as data, as a page and as an operator's sheet."""
