"""Bells: hosts on this machine that take in mail and posts, and keep them."""

import socketserver
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


class Post:
    """A host that takes in mail: what came, and whom it refuses."""

    def __init__(self):
        self.letters = []  # (sender, receivers, text)
        self.logins = []
        self.refuses = set()
        self.is_closed = False
        self.host = ""


@contextmanager
def serving(server):
    thread = threading.Thread(target=server.serve_forever, args=(0.01,))
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


class Server(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True


@contextmanager
def post_office():
    post = Post()

    class Handler(socketserver.StreamRequestHandler):
        def handle(self):
            if post.is_closed:
                self.say("421 closed")
                return
            self.say("220 ready")
            sender, receivers = "", []
            while line := self.rfile.readline().decode().strip():
                verb = line[:4].upper()
                if verb in ("EHLO", "HELO"):
                    self.say("250-here\r\n250 AUTH PLAIN")
                elif verb == "AUTH":
                    post.logins.append(line)
                    self.say("235 welcome")
                elif verb == "MAIL":
                    sender = line.partition("<")[2].partition(">")[0]
                    self.say("250 ok")
                elif verb == "RCPT":
                    box = line.partition("<")[2].partition(">")[0]
                    if box in post.refuses:
                        self.say("550 nobody here")
                    else:
                        receivers.append(box)
                        self.say("250 ok")
                elif verb == "DATA":
                    self.say("354 go on")
                    post.letters.append((sender, receivers, self.letter()))
                    self.say("250 kept")
                elif verb == "QUIT":
                    self.say("221 bye")
                    return
                else:
                    self.say("250 ok")

        def letter(self):
            lines = []
            while (line := self.rfile.readline()) not in (b".\r\n", b""):
                lines.append(line.removeprefix(b"."))
            return b"".join(lines)

        def say(self, text):
            self.wfile.write(text.encode() + b"\r\n")

    with serving(Server(("127.0.0.1", 0), Handler)) as server:
        post.host = f"127.0.0.1:{server.server_address[1]}"
        yield post


class Door:
    """A host of the web that takes in posts."""

    def __init__(self):
        self.status, self.heads, self.body = 204, {}, b""
        self.behaves = lambda handler: False
        self.came = []  # (path, heads, body)
        self.url = ""


@contextmanager
def front_door():
    door = Door()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self):
            body = self.rfile.read(int(self.headers["Content-Length"]))
            door.came.append((self.path, self.headers, body))
            if door.behaves(self):
                return
            self.send_response_only(door.status)
            for name, text in door.heads.items():
                self.send_header(name, text)
            self.send_header("Content-Length", str(len(door.body)))
            self.end_headers()
            self.wfile.write(door.body)

        def do_GET(self):
            door.came.append((self.path, self.headers, b"GET"))
            self.send_response_only(200)
            self.end_headers()

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    with serving(server):
        door.url = f"http://127.0.0.1:{server.server_port}"
        yield door
