"""Finished papers in the inks of a press: conditions, inks, gradients, what a file says."""
