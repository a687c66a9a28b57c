"""What a user may choose: each option is declared once, for the library and the command line."""
