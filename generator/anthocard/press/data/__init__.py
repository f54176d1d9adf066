"""Recipes and menus for other programs: JSON and JSON-LD."""
