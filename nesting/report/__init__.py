"""Layout to words, figures and files."""
