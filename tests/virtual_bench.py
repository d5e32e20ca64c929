"""The real program on a screen without a monitor: what the tests of the real window do with it.

A bench is a workspace, a gauge on a pseudo-terminal, and the window on both. What happened is read
from the journal, from the frame log and from the screen; nothing is asked of the program itself.
"""

import json, os, pathlib, subprocess, time

import independent_reader
from virtual_screen import Failed, Gauge, wait_until

PICTURES = pathlib.Path(__file__).parent.parent / "target" / "pictures" / "window"
# Between two keys of a hand, and of a device that plays keyboard, in milliseconds.
HAND_MS, WEDGE_MS = 120, 5
# A screen that does not change for so long stands still.
STILL_SECONDS = 0.4

# Fills of the states, from the palette of Okabe and Ito; and of the plate under a verdict.
FILLS = {
    "GO": ((0x00, 0x9E, 0x73), (0x00, 0xB4, 0x82)),
    "NO-GO": ((0xD5, 0x5E, 0x00), (0xF8, 0x6C, 0x00)),
    "CUTTING": ((0xE6, 0x9F, 0x00), (0xFF, 0xB8, 0x14)),
    "DOUBT": ((0x56, 0xB4, 0xE9), (0x6C, 0xCA, 0xFF)),
}
# Least share of the window that a verdict's plate covers.
PLATE_SHARE = 0.08

GAUGES = """\
[[gauge]]
id = "mic-25"
kind = "outside_micrometer"
range = [0, 25]
resolution = 0.001
mpe = 0.002
repeatability = 0.0005
"""
ONE = """\
[part]
name = "Pump shaft"
drawing = "GP-07"
[[feature]]
id = "A"
callout = "20 k6"
name = "bearing seat, left"
along = [0, 14]
gauge = ["mic-25"]
"""
TWO = (
    ONE
    + """
[[feature]]
id = "B"
callout = "15 h6"
name = "impeller seat"
along = [14, 40]
points = 2
gauge = ["mic-25"]
"""
)

made = 0


def check(right, what):
    """Fails with what was promised, and counts what was kept."""
    global made
    if not right:
        raise Failed(what)
    made += 1


class Journals:
    """The journals of some folders, read on from where they were read last."""

    def __init__(self, folders):
        self.folders = folders
        self.read = {}

    def paths(self):
        found = (path for folder in self.folders for path in folder.glob("*.jsonl"))
        return sorted(found, key=lambda path: path.stat().st_mtime_ns)

    def events(self, kind=None):
        """The events that count, in their order: whole lines, up to where a journal goes on."""
        counts = {}
        for path in self.paths():
            at, events = self.read.get(path, (0, []))
            with open(path, "rb") as file:
                file.seek(at)
                whole, mark, _ = file.read().rpartition(b"\n")
            for line in (whole + mark).splitlines():
                try:
                    events.append(json.loads(line))
                except ValueError:
                    continue
            self.read[path] = (at + len(whole + mark), events)
        all_events = [event for _, events in self.read.values() for event in events]
        for event in all_events:
            if event["kind"] == "continuation_opened":
                counts[event["body"]["file"]] = event["body"]["seq"]
        kept = [
            event
            for path, (_, events) in self.read.items()
            for event in events
            if event["seq"] <= counts.get(path.name, event["seq"])
            and (kind is None or event["kind"] == kind)
        ]
        return sorted(kept, key=lambda event: event["seq"])


class Bench:
    """A workspace, a gauge, and the window on them."""

    def __init__(self, program, screen, folder, plan=TWO):
        self.program, self.screen, self.folder = program, screen, folder
        self.workspace, self.rescue = folder / "workspace", folder / "rescue"
        self.workspace.mkdir(parents=True, exist_ok=True)
        self.rescue.mkdir(exist_ok=True)
        (self.workspace / "gauges.toml").write_text(GAUGES)
        (folder / "plan.toml").write_text(plan)
        self.gauge = Gauge(folder / "port")
        self.frames = folder / "frames"
        elsewhere = self.rescue / "fitledger-sessions"
        self.journals = Journals([self.workspace / "sessions", elsewhere])
        self.events = self.journals.events
        self.process = self.id = None

    def environment(self):
        hidden = ("WAYLAND_DISPLAY", "WAYLAND_SOCKET")
        kept = {name: value for name, value in os.environ.items() if name not in hidden}
        return {
            **kept,
            "DISPLAY": self.screen.display,
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "TZ": "UTC",
            "LC_ALL": "C.UTF-8",
            "TMPDIR": str(self.rescue),
            "FITLEDGER_FRAME_LOG": str(self.frames),
        }

    def gauge_argument(self):
        return ["--gauge", f"mic-25=serial:{self.gauge.path}@line-free"]

    def open(self, arguments=None):
        """Opens the window; milliseconds from starting the program until the screen shows it."""
        if arguments is None:
            arguments = ["window", "--plan", str(self.folder / "plan.toml"), *self.gauge_argument()]
        corner = (0, 0, 400, 300)
        wait_until(lambda: self.screen.digest(corner) == self.screen.empty(corner), "empty screen")
        self.frames.unlink(missing_ok=True)
        command = [self.program, "--workspace", str(self.workspace), *arguments]
        started = time.monotonic()
        with open(self.folder / "said", "ab") as said:
            self.process = subprocess.Popen(
                command,
                env=self.environment(),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=said,
            )
        seen = lambda: self.screen.digest(corner) != self.screen.empty(corner)
        self.alive_until(seen, "first frame", 30, 0.001)
        first_ms = (time.monotonic() - started) * 1000
        search = ["search", "--onlyvisible", "--pid", self.process.pid]
        self.id = wait_until(lambda: self.screen.xdotool(*search), "window").splitlines()[-1]
        self.screen.xdotool("windowmove", "--sync", self.id, 0, 0)
        # Without a window manager nobody gives the keys to a window.
        self.screen.xdotool("windowfocus", "--sync", self.id)
        self.still()
        return first_ms

    def alive_until(self, condition, what, seconds=30, every=0.02):
        def either():
            self.check_alive()
            return condition()

        return wait_until(either, what, seconds, every)

    def check_alive(self):
        if self.process.poll() is not None:
            said = (self.folder / "said").read_text(errors="replace")[-600:]
            raise Failed(f"the window is gone (exit {self.process.returncode}): {said}")

    def place(self):
        """Left, top, width, height of the window."""
        lines = self.screen.xdotool("getwindowgeometry", "--shell", self.id).splitlines()
        found = dict(line.split("=") for line in lines)
        if "X" not in found:
            raise Failed("there is no window any more")
        left, top = max(0, int(found["X"])), max(0, int(found["Y"]))
        width = min(int(found["WIDTH"]), self.screen.width - left)
        return left, top, width, min(int(found["HEIGHT"]), self.screen.height - top)

    def digest(self):
        return self.screen.digest((0, 0, self.screen.width, self.screen.height))

    def picture(self, name=None):
        picture = self.screen.picture(self.place())
        if name:
            picture.save(PICTURES / f"{name}.png")
        return picture

    def keys(self, *names, delay_ms=HAND_MS):
        self.screen.xdotool("key", "--delay", delay_ms, *names)

    def changes(self, act, what, seconds=30):
        """Does it, and waits until the screen is another one and stands still."""
        before = self.digest()
        act()
        has_changed = lambda: self.digest() != before
        self.alive_until(has_changed, f"change of the screen by {what}", seconds)
        self.still()

    def still(self, quiet=STILL_SECONDS):
        last, since, end = None, 0, time.monotonic() + 15
        while time.monotonic() < end:
            now = self.digest()
            if now != last:
                last, since = now, time.monotonic()
            elif time.monotonic() - since >= quiet:
                return
            time.sleep(0.02)
        raise Failed("the screen does not stand still")

    def more(self, kind, before, seconds=30):
        """Waits until there are more events of a kind than before; the last of them."""
        found = lambda: self.events(kind)[len(before) :]
        return self.alive_until(found, f"{kind} in the journal", seconds)[-1]

    def answer(self, number, kind="verdict_given"):
        """Sends a reading, and waits for its answer and for the screen that shows it."""
        before = self.events(kind)
        self.gauge.show(number)
        body = self.more(kind, before)["body"]
        self.shown(body["reading"])
        return body

    def shown(self, sequence):
        """Waits until a frame with that reading has been drawn, and the screen stands still."""
        has = lambda: any(shown >= sequence for _, shown, _, _ in self.frame_lines())
        self.alive_until(has, f"frame with reading {sequence}")
        self.still()

    def frame_lines(self):
        """The frame log: begin of the frame, reading first shown, received, drawn."""
        lines = self.frames.read_text().splitlines()[1:] if self.frames.exists() else []
        fields = (line.split() for line in lines)
        return [tuple(map(float, four)) for four in fields if len(four) == 4]

    def latencies(self, since=0):
        """Milliseconds from receiving a reading to the frame that shows it."""
        lines = self.frame_lines()
        return [drawn - received for _, shown, received, drawn in lines if shown > since]

    def ticks(self):
        """Processor time so far, user and system, in hundredths of a second."""
        stat = pathlib.Path(f"/proc/{self.process.pid}/stat").read_text()
        fields = stat.rsplit(")", 1)[1].split()
        return int(fields[11]) + int(fields[12])

    def run_ms(self):
        """Milliseconds of all threads on a processor so far; how often the window's came on one."""
        process = pathlib.Path(f"/proc/{self.process.pid}")
        run = lambda thread: [int(field) for field in (thread / "schedstat").read_text().split()]
        threads = [run(thread) for thread in (process / "task").iterdir()]
        window = run(process / "task" / str(self.process.pid))
        return sum(one[0] for one in threads) / 1e6, window[2]

    def ask_to_close(self):
        """As the window's own button does."""
        self.screen.ask_to_close(int(self.id))

    def check_closes(self):
        self.ask_to_close()
        wait_until(lambda: self.process.poll() is not None, "end of the program")
        check(self.process.returncode == 0, f"exit {self.process.returncode} after closing")

    def check_sound(self):
        for path in self.journals.paths():
            found = independent_reader.check(path.read_bytes())
            fine = found["state"] in ("sound", "not_closed", "torn_tail")
            check(fine, f"{path.name}: {found}")

    def end_process(self):
        if self.process and self.process.poll() is None:
            self.process.kill()
            self.process.wait(10)

    def end(self):
        self.end_process()
        self.gauge.close()


def plate(picture, word):
    return picture.share(FILLS[word][1])


def check_plate(bench, word, name):
    """The plate of that word, and of no other, is on the screen, at the latest in 20 s."""
    end = time.monotonic() + 20
    while True:
        picture = bench.picture(name)
        shares = {one: plate(picture, one) for one in FILLS}
        others = max(share for one, share in shares.items() if one != word)
        right = shares[word] >= PLATE_SHARE and others < shares[word] / 4
        if right or time.monotonic() > end:
            break
        bench.still()
    check(right, f"{name}: the plates cover {shares}")
    print(f"  {word}: its plate is {shares[word]:.1%} of the window")
