"""PDFs: set by WeasyPrint, joined, imposed."""
