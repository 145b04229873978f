"""What a page is made of: blocks of text, tables and figures."""
