"""A screen without a monitor, a gauge without a gauge: what the tests of the real window rest on.

The screen is Xvfb, whose picture is a file in the XWD form; keys come from xdotool; the gauge is a
pseudo-terminal. Only Python's standard library is used.
"""

import collections, ctypes, fcntl, os, pathlib, struct, subprocess, termios, time, tty, zlib


class Failed(Exception):
    """What was promised and not kept."""


def wait_until(condition, what, seconds=30.0, every=0.02):
    """The first answer that is true; fails after so many seconds."""
    end = time.monotonic() + seconds
    while True:
        answer = condition()
        if answer:
            return answer
        if time.monotonic() > end:
            raise Failed(f"in {seconds:.0f} s there was no {what}")
        time.sleep(every)


class Picture:
    """Pixels of a part of the screen, four bytes each: blue, green, red, nothing."""

    def __init__(self, width, height, rows):
        self.width, self.height, self.rows = width, height, rows

    def colours(self):
        counts = collections.Counter()
        for row in self.rows:
            counts.update(memoryview(row).cast("I"))
        return {(value >> 16 & 255, value >> 8 & 255, value & 255): count for value, count in counts.items()}

    def share(self, wanted):
        """Share of the pixels of that colour, within 3 of 255 a channel."""
        near = lambda colour: all(abs(one - other) <= 3 for one, other in zip(colour, wanted))
        counts = self.colours()
        return sum(count for colour, count in counts.items() if near(colour)) / max(1, sum(counts.values()))

    def save(self, path):
        """Writes it as a PNG."""
        lines = []
        for row in self.rows:
            line = bytearray(3 * self.width)
            line[0::3], line[1::3], line[2::3] = row[2::4], row[1::4], row[0::4]
            lines.append(b"\0" + bytes(line))
        chunk = lambda kind, body: (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )
        head = struct.pack(">IIBBBBB", self.width, self.height, 8, 2, 0, 0, 0)
        body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"".join(lines))) + chunk(b"IEND", b"")
        pathlib.Path(path).parent.mkdir(parents=True, exist_ok=True)
        pathlib.Path(path).write_bytes(b"\x89PNG\r\n\x1a\n" + body)


class Screen:
    """Xvfb on a display of its own."""

    def __init__(self, folder, size=(1280, 800)):
        folder.mkdir(parents=True, exist_ok=True)
        self.file = folder / "Xvfb_screen0"
        seen, said = os.pipe()
        command = ["Xvfb", "-displayfd", str(said), "-screen", "0", f"{size[0]}x{size[1]}x24"]
        command += ["-fbdir", str(folder), "-nolisten", "tcp", "-noreset"]
        self.process = subprocess.Popen(command, pass_fds=[said], stderr=subprocess.DEVNULL)
        os.close(said)
        with open(seen) as answer:
            number = answer.readline().strip()
        if not number:
            raise Failed("Xvfb did not start")
        self.display = f":{number}"
        self.source = open(self.file, "rb", buffering=0)
        header = struct.unpack(">25I", self.source.read(100))
        self.start = header[0] + header[19] * 12
        self.width, self.height, self.bytes_per_line = header[4], header[5], header[12]
        self.nothing = {}
        self.empty((0, 0, 400, 300))
        if header[11] != 32 or header[7] != 0:
            raise Failed(f"the screen has {header[11]} bits a pixel, byte order {header[7]}")

    def picture(self, place=None):
        """The screen, or left, top, width, height of it."""
        left, top, width, height = place or (0, 0, self.width, self.height)
        self.source.seek(0)
        content = self.source.read()
        rows = []
        for y in range(top, min(top + height, self.height)):
            at = self.start + y * self.bytes_per_line + 4 * left
            rows.append(content[at : at + 4 * min(width, self.width - left)])
        return Picture(len(rows[0]) // 4 if rows else 0, len(rows), rows)

    def digest(self, place):
        """A number that changes when every fourth line of that place does."""
        left, top, width, height = place
        number = 0
        for y in range(top, top + height, 4):
            line = os.pread(self.source.fileno(), 4 * width, self.start + y * self.bytes_per_line + 4 * left)
            number = zlib.crc32(line, number)
        return number

    def empty(self, place):
        """The digest of that place as it was when first asked for, before any window was there."""
        if place not in self.nothing:
            self.nothing[place] = self.digest(place)
        return self.nothing[place]

    def xdotool(self, *arguments):
        environment = {**os.environ, "DISPLAY": self.display}
        command = ["xdotool", *map(str, arguments)]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60)
        return done.stdout.strip()

    def ask_to_close(self, window):
        """Sends the message of a window manager whose button for closing is pressed.

        Not every xdotool can; its windowclose destroys the window, which is no question.
        """
        library = ctypes.CDLL("libX11.so.6")
        library.XOpenDisplay.restype = ctypes.c_void_p
        display = library.XOpenDisplay(self.display.encode())
        if not display:
            raise Failed(f"the display {self.display} does not answer")
        display = ctypes.c_void_p(display)
        atom = library.XInternAtom
        atom.restype = ctypes.c_ulong
        # XClientMessageEvent of Xlib.h; an XEvent has room for 24 longs.
        message = (ctypes.c_long * 24)()
        names = (b"WM_PROTOCOLS", b"WM_DELETE_WINDOW")
        protocols, delete = (atom(display, name, 0) for name in names)
        message[0], message[4] = 33, window
        message[5], message[6], message[7] = protocols, 32, delete
        library.XSendEvent(display, ctypes.c_ulong(window), 0, 0, message)
        library.XSync(display, 0)
        library.XCloseDisplay(display)

    def close(self):
        self.source.close()
        self.process.terminate()
        self.process.wait(10)


class Gauge:
    """A pseudo-terminal behind a name that stays the same when it is plugged in again."""

    def __init__(self, path):
        self.path = path
        self.master = self.slave = None
        self.plug_in()

    def plug_in(self):
        self.master, self.slave = os.openpty()
        tty.setraw(self.slave)
        os.set_blocking(self.master, False)
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(self.slave))

    def send(self, data):
        """Writes all of it; waits where the program does not read."""
        end = time.monotonic() + 20
        while data:
            try:
                data = data[os.write(self.master, data) :]
            except BlockingIOError:
                if time.monotonic() > end:
                    raise Failed("the program does not read its gauge") from None
                time.sleep(0.001)

    def show(self, number):
        self.send(f"{number}\r\n".encode())

    def all_read(self):
        """Waits until the program has read what was sent: a line that hangs up loses the rest. What
        is on its way inside the system is not counted, so nothing must be left for a while."""
        left = lambda: int.from_bytes(fcntl.ioctl(self.slave, termios.FIONREAD, bytes(4)), "little")
        looks = lambda: all(left() == 0 and time.sleep(0.01) is None for _ in range(20))
        wait_until(looks, "reader of what was sent")

    def unplug(self):
        """As when the cable is drawn: the line hangs up, the name is gone."""
        self.path.unlink(missing_ok=True)
        self.close()

    def close(self):
        for end in (self.master, self.slave):
            if end is not None:
                os.close(end)
        self.master = self.slave = None
