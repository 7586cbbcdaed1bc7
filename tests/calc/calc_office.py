"""A headless LibreOffice with a private profile, for tests and benchmarks."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import tempfile
import time
import uuid
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from basinbook.hosts.calc import office

DRIVER = Path(__file__).with_name("uno_driver.py")
XLSX = "Calc MS Excel 2007 XML"
ODS = "calc8"
PDF = "calc_pdf_Export"


def system_python() -> str | None:
    """The Python that has LibreOffice's ``uno`` module, if there is one."""
    for path in ("/usr/bin/python3", "/opt/libreoffice/program/python"):
        if Path(path).exists():
            found = subprocess.run([path, "-c", "import uno"], capture_output=True, check=False)
            if found.returncode == 0:
                return path
    return None


class Office:
    """Starts LibreOffice; ``office.get(...)`` and so on run the driver's method of that name."""

    def __init__(self, profile: Path, **variables: str) -> None:
        self.profile = profile
        self._pipe = f"basinbook{uuid.uuid4().hex[:12]}"
        self._variables = variables

    def __enter__(self) -> Self:
        python = system_python()
        assert python is not None
        environment = {**office.environment(), **self._variables}
        self._office = subprocess.Popen(
            [
                office.program("soffice"), "--headless", "--norestore", "--nologo", "--nodefault",
                "--nolockcheck", f"--accept=pipe,name={self._pipe};urp",
                *office.profile_options(self.profile),
            ],
            env=environment, start_new_session=True,
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._driver = subprocess.Popen(
            [python, str(DRIVER), self._pipe],
            env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        try:
            self._answer()
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def __exit__(
        self,
        _type: type[BaseException] | None,
        _value: BaseException | None,
        _traceback: TracebackType | None,
    ) -> None:
        if self._driver.poll() is None:
            assert self._driver.stdin is not None
            try:
                self._driver.stdin.write('["quit", []]\n')
                self._driver.stdin.close()
                self._driver.wait(20)
            except (OSError, subprocess.TimeoutExpired):
                self._driver.kill()
        try:
            self._office.wait(20)
        except subprocess.TimeoutExpired:
            os.killpg(self._office.pid, signal.SIGKILL)
            self._office.wait()

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)

        def run(*arguments: Any) -> Any:
            assert self._driver.stdin is not None
            self._driver.stdin.write(json.dumps([name, arguments]) + "\n")
            self._driver.stdin.flush()
            return self._answer()

        return run

    def _answer(self) -> Any:
        assert self._driver.stdout is not None
        line = self._driver.stdout.readline()
        if not line:
            raise RuntimeError("the driver of LibreOffice ended")
        answer = json.loads(line)
        if "error" in answer:
            raise RuntimeError(answer["error"])
        return answer["value"]

    def processes(self) -> dict[int, str]:
        """Command lines of the office's processes by process id, the engine's among them."""
        found = {}
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                session = int((folder / "stat").read_text().rsplit(")", 1)[1].split()[3])
                command = (
                    (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace")
                )
            except (OSError, IndexError):
                continue
            if session == self._office.pid and command:
                found[int(folder.name)] = command
        return found

    def engines(self) -> list[int]:
        """Process ids of the engines that this office started."""
        return [pid for pid, line in self.processes().items() if "basinbook.hosts.serve" in line]

    def memory(self) -> dict[str, int]:
        """Resident memory [KiB] of the office and of its engine."""
        found = {}
        for pid, line in self.processes().items():
            name = "engine" if "basinbook.hosts.serve" in line else "office"
            if name == "office" and "soffice.bin" not in line:
                continue
            status = Path(f"/proc/{pid}/status").read_text()
            found[name] = int(status.split("VmRSS:")[1].split()[0])
        return found


def private_profile() -> Path:
    return Path(tempfile.mkdtemp(prefix="basinbook-profile-"))


def remove(profile: Path) -> None:
    # The office may still be writing its last settings.
    for _ in range(20):
        shutil.rmtree(profile, ignore_errors=True)
        if not profile.exists():
            return
        time.sleep(0.1)
