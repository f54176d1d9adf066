"""Matter: acids, salts, ethanol, sugar, ice, gas, and the liquid that holds them."""
