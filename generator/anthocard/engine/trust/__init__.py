"""How sure the figures are: spread, tolerance of a dose, other lights and other eyes."""
