"""A glass is a map of path lengths: traced once for its level and view, it colours any drink."""
