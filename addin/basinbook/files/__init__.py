"""Files of users: reading them within limits, and replacing them whole or not at all.

Knows nothing of what is in a file, so that every layer above may write through it.
"""
