"""Names and help texts as Excel and VBA can hold them."""

from __future__ import annotations

from typing import Final

from basinbook.catalogue.model import Argument, Function

PREFIX: Final = "BASIN_"
# Excel's limit for a help text in the function wizard.
MAX_HELP: Final = 255

# Reserved identifiers of the language ([MS-VBAL] 3.3.5.2), in lower case.
RESERVED: Final = frozenset(
    (
        # statement keywords
        "call", "case", "close", "const", "declare", "defbool", "defbyte", "defcur", "defdate",
        "defdbl", "defint", "deflng", "deflnglng", "deflngptr", "defobj", "defsng", "defstr",
        "defvar", "dim", "do", "else", "elseif", "end", "endif", "enum", "erase", "event", "exit",
        "for", "friend", "function", "get", "global", "gosub", "goto", "if", "implements", "input",
        "let", "lock", "loop", "lset", "next", "on", "open", "option", "print", "private",
        "public", "put", "raiseevent", "redim", "resume", "return", "rset", "seek", "select",
        "set", "static", "stop", "sub", "type", "unlock", "wend", "while", "with", "write", "rem",
        # marker keywords
        "any", "as", "byref", "byval", "each", "in", "new", "optional", "paramarray", "preserve",
        "shared", "spc", "tab", "then", "to", "until", "withevents",
        # operators, special forms, types, literals and what else is reserved
        "addressof", "and", "eqv", "imp", "is", "like", "me", "mod", "not", "or", "typeof", "xor",
        "abs", "cbool", "cbyte", "ccur", "cdate", "cdbl", "cdec", "cint", "clng", "clnglng",
        "clngptr", "csng", "cstr", "cvar", "cverr", "date", "debug", "doevents", "fix", "int",
        "len", "lenb", "pset", "scale", "sgn", "string", "array", "circle", "inputb", "lbound",
        "ubound", "boolean", "byte", "currency", "double", "integer", "long", "longlong",
        "longptr", "single", "variant", "true", "false", "nothing", "empty", "null", "attribute",
        "linecontinuation", "decimal", "object",
    )
)  # fmt: skip
# Names that xlwings' wrapper uses itself, and the argument name that it fills in on its own.
USED_BY_WRAPPER: Final = frozenset(
    ("k", "argsarray", "app", "application", "caller", "err", "failed", "range", "xlpy",
     "thisworkbook", "activeworkbook")
)  # fmt: skip
# A word of the language in some places only; LibreOffice's Basic, in which the tests run the
# add-in file, takes it for one anywhere.
_CONTEXTUAL: Final = frozenset(("base",))


def excel_name(function: Function) -> str:
    """Return the name that Excel knows a function by."""
    return PREFIX + function.name


def argument_name(argument: Argument) -> str:
    """Return the name of an argument in VBA, which takes no notice of case."""
    taken = argument.name.lower() in RESERVED | USED_BY_WRAPPER | _CONTEXTUAL
    return f"{argument.name}_" if taken else argument.name


def help_text(text: str) -> str:
    """Return a help text in the length that Excel takes."""
    return text if len(text) <= MAX_HELP else text[: MAX_HELP - 1].rstrip() + "…"
