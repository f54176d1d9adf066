"""A house of which parts cannot be read: what stands without them."""
