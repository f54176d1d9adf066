"""The top floor: computed drinks become cards, pages, papers and folders."""
