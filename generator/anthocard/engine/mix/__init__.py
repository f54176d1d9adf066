"""Amounts meet bottles: pour, chill, settle wishes; a liquid comes out."""
