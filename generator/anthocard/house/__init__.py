"""The first floor: what an author wrote, read into frozen values with every mistake reported."""
