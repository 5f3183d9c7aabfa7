"""A real server on loopback and a real Chromium, for whatever drives pages."""

import asyncio
import shutil
import threading
import time
from pathlib import Path

import uvicorn

from arbuscula.desk import Desk
from arbuscula.reports.words import Voice
from arbuscula.web.app import create_app
from arbuscula.web.guard import LOOPBACK

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next(filter(None, map(shutil.which, NAMES)), None)
HOW = (
    "NOT RUN: no Chromium on this machine. This drives the pages in a real browser; "
    "`apt-get install chromium`, or `.venv/bin/playwright install chromium`"
)
PLAIN_NAME = "stair.test"  # as a phone on the same network would call it
ARGUMENTS = (
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
    f"--host-resolver-rules=MAP {PLAIN_NAME} 127.0.0.1",
)


class Served:
    """A server that can be stopped and started again at the same port."""

    def __init__(
        self,
        desk: Desk,
        *,
        certificate: Path | None = None,
        hosts: frozenset[str] = LOOPBACK,
        is_open: bool = True,
    ) -> None:
        self.app = create_app(desk, Voice(), hosts=hosts, is_open=is_open)
        self.certificate, self.port = certificate, 0
        self.start()

    def start(self) -> None:
        """Serve, at the same port as before if there was one."""
        config = uvicorn.Config(
            self.app,
            port=self.port,
            log_level="critical",
            timeout_graceful_shutdown=1,
            lifespan="off",
            ssl_certfile=self.certificate,
        )
        self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=asyncio.run, args=[self.serve()])
        self.thread.daemon = True
        self.thread.start()
        while not self.server.started:
            time.sleep(0.02)
        self.port = self.server.servers[0].sockets[0].getsockname()[1]

    async def serve(self) -> None:
        """Serve; a browser that says no goodbye by TLS is left all the same."""
        await self.server.serve()
        for connection in [*self.server.server_state.connections]:
            connection.transport.abort()
        await asyncio.sleep(0.05)

    def stop(self) -> None:
        """Stop, and wait until that is done."""
        self.server.should_exit = True
        self.thread.join()

    def at(self, path: str, host: str = "127.0.0.1") -> str:
        """Return where a page is."""
        scheme = "https" if self.certificate else "http"
        return f"{scheme}://{host}:{self.port}{path}"
