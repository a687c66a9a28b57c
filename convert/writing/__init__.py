"""What is written of a pattern: tables, figures in words, and the folder they lie in."""
