"""The garden book: the only place with SQL.

The schema is declared with SQLAlchemy (`models`) and moved with Alembic (`migrations`). Rows are read and written
through the driver itself with named parameters, because logging a look must take a fifth of a second on an old
laptop and importing SQLAlchemy alone takes longer than that; it is loaded only when a book is made or moved.
"""
