"""The one chain of steps by which a book of any age comes to today's form, on both databases.

A step never changes entries, postings or readings that are there, and never calls code of the program, which
will have changed by then. Projections are not carried over: they are emptied, and filled again from the
entries after the last step.
"""
