"""One publish: what to make, from what, by whom, and how it is put in place."""
