"""The manual in the program: its pages, how to search them, and the window that shows them."""
