"""Pictures made from figures: glasses, strips, curves, codes."""
