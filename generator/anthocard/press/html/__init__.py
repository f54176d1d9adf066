"""Pages for screens, from words and templates."""
