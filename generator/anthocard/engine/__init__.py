"""The second floor: where a recipe meets the facts and becomes a computed drink."""
