"""The steps of a kitchen: each a function from what is in the pot to what is in it after."""
