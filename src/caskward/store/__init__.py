"""The book on disk: SQLite for one, PostgreSQL for several; the same tables, steps and promises.

place      where the book is · engine: connections that keep their word · faults: a database's words, plainly
journal    deeds become entries; entries, balances, pages are read · rows, reading, pages, moment, projections
upgrade    a book in today's form, by the chain in migrations/
checking   chain, rows, sums and projections proved · backup: copy and restore · exchange: lines out and in
"""
