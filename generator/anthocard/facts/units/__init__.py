"""What authors and papers measure in: units, amounts, other quantities, and rounding."""
