"""The declarations of the worksheet functions, a module a topic."""
