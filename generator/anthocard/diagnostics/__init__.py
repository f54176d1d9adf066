"""Mistakes, YAML with line numbers, tables with sources. Knows nothing of drinks."""
