"""What a maker does with the book: one function for each act, and what is read from it.

opened   the book named by CASKWARD_BOOK, or the user's own file, created on first use
"""
