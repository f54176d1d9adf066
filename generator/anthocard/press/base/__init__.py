"""What every paper and page stands on: themes, faces, languages, sizes, figures as text."""
