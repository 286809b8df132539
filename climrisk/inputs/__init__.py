"""Everything a user can specify, declared once.

A command's inputs are a frozen dataclass put together from the groups here. Its fields
become command-line options, query parameters of the page, and the arguments that the
computation takes; keys of the home file are tested against them.
"""
