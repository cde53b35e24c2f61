"""The shop's inks: the stock list, its book, what is left, and what a job must order."""
