"""The preview: pages made as a browser asks for them."""
