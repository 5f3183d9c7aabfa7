"""A real server on loopback and a real Chromium, for tests that drive pages."""

import asyncio
import shutil
import threading
import time

import uvicorn

from arbuscula.reports.words import Voice
from arbuscula.web.app import create_app

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next(filter(None, map(shutil.which, NAMES)), None)
HOW = (
    "NOT RUN: no Chromium on this machine. These tests drive the round in a browser; "
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

    def __init__(self, desk, *, certificate=None, **how):
        self.app = create_app(desk, Voice(), **how)
        self.certificate, self.port = certificate, 0
        self.start()

    def start(self):
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

    async def serve(self):
        """Serve; a browser that says no goodbye by TLS is left all the same."""
        await self.server.serve()
        for connection in [*self.server.server_state.connections]:
            connection.transport.abort()
        await asyncio.sleep(0.05)

    def stop(self):
        self.server.should_exit = True
        self.thread.join()

    def at(self, path, host="127.0.0.1"):
        scheme = "https" if self.certificate else "http"
        return f"{scheme}://{host}:{self.port}{path}"
