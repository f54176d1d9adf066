"""What places ask for: rules, allergen lists, dates, each as rows with their source."""
