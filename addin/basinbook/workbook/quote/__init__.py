"""The quote to the client: read off its sheet, printed, drafted as a mail, and accepted."""
