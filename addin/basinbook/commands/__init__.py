"""The commands of the command line: each is a module of its name, whose ``add`` declares it.

Heavy imports belong inside a command's own function, so that ``basinbook --help`` stays quick.
"""
