"""What only pages and papers would show, told while proofreading, at the word itself."""
