"""The text of a mission file to a tree with places; what is broken in the text is told here."""
