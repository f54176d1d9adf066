"""What may hurt: cautions, allergens through everything made, how long it keeps."""
