"""The commands of the command line, one module each; each module's ``add`` declares its command.

Heavy imports belong inside a command's own function, so that ``basinbook --help`` stays quick.
"""
