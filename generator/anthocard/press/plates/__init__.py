"""Finished papers in the inks of a press: conditions, inks, shadings, operators, what a file says."""
