"""LibreOffice Calc as a host: the extension, built from the catalogue, and its installation."""
