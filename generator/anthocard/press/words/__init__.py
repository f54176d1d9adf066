"""Computed recipes become words, one module a kind of text; no HTML, no float comes out."""
