"""The Calc add-in: worksheet functions that forward to the engine's process.

This file travels inside the extension and runs in the office's own Python (3.7 and later). The
functions are listed in basinbook.json, which is made from the catalogue.
"""

from __future__ import annotations

from typing import Any

import basinbook_client
import unohelper
from com.sun.star.lang import Locale, XLocalizable, XServiceInfo, XServiceName
from com.sun.star.uno import RuntimeException

# One word: with it formulas such as BASIN.WATERVOLUME are known when an .xlsx is loaded.
_NAME = "Basin"
_SERVICES = (_NAME, "com.sun.star.sheet.AddIn")
# The function that gives reasons also gives the one why there is no engine.
_EXPLAINS = "why"


class _Shared:
    """The one client of this office, started when the first cell asks for something."""

    client: Any = None


def _ask(name: str, arguments: tuple[Any, ...]) -> Any:
    if _Shared.client is None:
        _Shared.client = basinbook_client.client()
    return _Shared.client.call(name, arguments)


def _method(name: str, explains: bool, repeats: bool) -> Any:
    def method(self: Any, *given: Any) -> Any:
        if repeats:
            given = given[:-1] + given[-1]
        # Arguments left out at the end arrive as blanks.
        while given and given[-1] is None:
            given = given[:-1]
        try:
            return _ask(name, given)
        except basinbook_client.EngineError as error:
            if explains:
                return str(error)
            # Calc shows #VALUE! for it.
            raise RuntimeException(str(error), self) from None

    return method


class _Standard:
    """What the office asks of every add-in beside its functions."""

    locale: Any = Locale("en", "US", "")

    def setLocale(self, locale: Any) -> None:  # noqa: N802
        """Take the office's locale."""
        self.locale = locale

    def getLocale(self) -> Any:  # noqa: N802
        """Return the locale that was set."""
        return self.locale

    def getServiceName(self) -> str:  # noqa: N802
        """Return the name that formulas start with."""
        return _NAME

    def getImplementationName(self) -> str:  # noqa: N802
        """Return the name of this implementation."""
        return _NAME

    def supportsService(self, name: str) -> bool:  # noqa: N802
        """Return whether this is a ``name``."""
        return name in _SERVICES

    def getSupportedServiceNames(self) -> Any:  # noqa: N802
        """Return all that this is."""
        return _SERVICES


def _create(_context: Any, *_: Any) -> Any:
    # The office knows the interface only once the extension is registered: importing it at the
    # top would make the registration fail.
    from org.basinbook.calc import XBasin

    methods = {
        function["method"]: _method(
            function["name"], function["method"] == _EXPLAINS, function["repeats"]
        )
        for function in basinbook_client.settings()["functions"]
    }
    bases = (_Standard, unohelper.Base, XBasin, XLocalizable, XServiceName, XServiceInfo)
    return type(_NAME, bases, methods)()


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816
g_ImplementationHelper.addImplementation(_create, _NAME, _SERVICES)
