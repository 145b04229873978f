"""Templates to pages: the language, the sandbox, and the values and tables that templates see."""
