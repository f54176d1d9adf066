"""What the trade asks beside the drink: batches, demand, cost, strength, records."""
