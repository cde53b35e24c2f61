"""A small job run where nothing exists that only POSIX systems have; driven by its words.

``python -m tests.faults.without_posix FOLDER`` writes the starter job and a small job's output into
FOLDER, twice. Before anything of ours is imported, the modules and names that Windows lacks are
taken away, and names of folders change only as Windows lets them. What libraries use of POSIX is
loaded before: on Windows they have their own ways.
"""

from __future__ import annotations

import builtins
import ctypes
import importlib
import os
import shutil
import signal
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

MODULES = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog", "readline",
           "curses", "nis", "spwd", "crypt"}
OF_OS = ("fork", "forkpty", "geteuid", "getuid", "getgid", "getegid", "getgroups", "getpgid",
         "setpgid", "setsid", "getsid", "setuid", "setgid", "uname", "sched_getaffinity",
         "sched_setaffinity", "O_CLOEXEC", "O_NONBLOCK", "O_DIRECTORY", "O_NOFOLLOW", "O_SYNC",
         "mkfifo", "mknod", "chown", "lchown", "fchown", "fchmod", "statvfs", "fstatvfs",
         "getloadavg", "nice", "killpg", "posix_spawn", "pread", "pwrite", "preadv", "pwritev",
         "sysconf", "confstr", "getpriority", "setpriority", "wait", "wait3", "wait4", "WNOHANG",
         "EX_OK", "sendfile", "openpty", "ttyname", "ctermid", "chroot", "sync", "fdatasync")
OF_SIGNAL = ("SIGHUP", "SIGKILL", "SIGUSR1", "SIGUSR2", "SIGALRM", "SIGPIPE", "SIGCHLD",
             "SIGXCPU", "SIGXFSZ", "alarm", "setitimer", "pthread_kill", "pthread_sigmask",
             "sigwait", "siginterrupt")
#: Libraries that have a way of their own on each system.
LIBRARIES = ("subprocess", "tempfile", "psutil", "numba", "numpy", "scipy.optimize", "cv2",
             "PIL.Image", "reportlab.pdfgen.canvas", "pikepdf", "pypdfium2", "ezdxf", "fontTools",
             "skimage.color", "shapely", "filelock", "asyncio", "multiprocessing.connection",
             "click.testing", "concurrent.futures.thread", "importlib.resources", "tomlkit",
             "defusedxml.ElementTree", "svgelements", "uharfbuzz", "simplejpeg", "isal.isal_zlib",
             "tifffile", "pydantic", "urllib.request", "webbrowser", "platform", "ctypes.util")


def hide_posix() -> None:
    """Take away what Windows lacks, for all that is imported or called from now on."""
    for name in LIBRARIES:
        importlib.import_module(name)
    for name in MODULES:
        sys.modules.pop(name, None)
    bring = builtins.__import__

    def without(name: str, *further: Any, **more: Any) -> Any:
        if name.partition(".")[0] in MODULES:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
        return bring(name, *further, **more)

    builtins.__import__ = without
    _keep_its_own_system("filelock")
    for module, names in ((os, OF_OS), (signal, OF_SIGNAL)):
        for name in names:
            if hasattr(module, name):
                delattr(module, name)
    for name in ("_use_fd_functions", "_USE_CP_SENDFILE"):
        setattr(shutil, name, False)
    _files_as_on_windows()
    sys.platform = "win32"


def _keep_its_own_system(library: str) -> None:
    """Let a library that stands for its way on Windows go on with Linux's."""
    whole = ModuleType("os")
    whole.__dict__.update(os.__dict__)
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == library and hasattr(module, "os"):
            module.os = whole  # type: ignore[attr-defined]


def _files_as_on_windows() -> None:
    """Folders cannot be opened, nor take the place of others; the C library has no name."""
    opened, renamed, replaced, library = os.open, os.rename, os.replace, ctypes.CDLL.__init__

    def open_file(path: Any, flags: int, *further: Any, **more: Any) -> int:
        if not isinstance(path, int) and Path(os.fsdecode(path)).is_dir():
            raise PermissionError(13, "Permission denied", path)
        return opened(path, flags, *further, **more)

    def rename(one: Any, other: Any, **more: Any) -> None:
        if os.path.lexists(other):
            raise FileExistsError(17, "File exists", other)
        renamed(one, other, **more)

    def replace(one: Any, other: Any, **more: Any) -> None:
        if Path(other).is_dir():
            raise PermissionError(13, "Permission denied", other)
        replaced(one, other, **more)

    def load(self: Any, name: Any, *further: Any, **more: Any) -> None:
        if name is None:
            raise TypeError("LoadLibrary() argument 1 must be str, not None")
        library(self, name, *further, **more)

    for owner, name, changed in ((os, "open", open_file), (os, "rename", rename),
                                 (os, "replace", replace), (ctypes.CDLL, "__init__", load)):
        setattr(owner, name, changed)


def main(folder: Path) -> None:
    """Write a starter job, and check and run the small job that lies in ``folder / "job"``."""
    hide_posix()
    from separations import command_line

    job = folder / "job" / "marsh.toml"
    for words in (["new", folder / "mine"], ["check", job],
                  *(["run", job, "--despite-stops", "--out", folder / "out"] for _ in range(2)),
                  ["check", "--mend", job]):
        sys.argv = ["topsheet", *map(str, words)]
        try:
            command_line.main()
        except SystemExit as leave:
            if leave.code not in (0, None):
                raise
    assert "preflight.files.lock_files" in sys.modules
    assert "preflight.files.locked_folders" not in sys.modules


if __name__ == "__main__":
    main(Path(sys.argv[1]))
