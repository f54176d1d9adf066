"""Menus on paper: their words set, measured, and shared out over pages."""
