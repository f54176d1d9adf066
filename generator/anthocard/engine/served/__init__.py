"""How a drink stands and is served: what shares come to, its layers, foam, ice, and its reveals."""
