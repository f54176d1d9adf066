"""A drink's own lines: pours and reveals, the whole they share, and drinks written as another."""
