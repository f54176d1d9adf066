"""What is true of light: pigments, spectra, glasses, lamps, eyes, and the words for colours."""
