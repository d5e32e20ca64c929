#!/usr/bin/env python3
"""The real window on a screen without a monitor, with a gauge on a real (pseudo) port.

    window_under_xvfb.py PROGRAM [CASE ...]     needs Xvfb and xdotool; `full_disk` needs to mount

Every case runs `fitledger window` in a workspace of its own and checks what the journal holds and
what the screen shows. Pictures are left in target/pictures/window/. Only Python's standard library,
tests/virtual_screen.py and tests/independent_reader.py are used.
"""

import json, os, pathlib, signal, statistics, subprocess, sys, tempfile, time

sys.dont_write_bytecode = True
sys.path.insert(0, str(pathlib.Path(__file__).parent))
import independent_reader
from virtual_screen import Failed, Gauge, Screen, wait_until

PICTURES = pathlib.Path(__file__).parent.parent / "target" / "pictures" / "window"
# A frame of a screen that shows 60 a second.
FRAME_MS = 1000 / 60
# Bytes of a reading at 115,200 baud with ten bits a byte and 14 bytes a reading: 823 a second.
FLOOD_A_SECOND, FLOOD_SECONDS = 823, 20

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
# Fills of the states, from the palette of Okabe and Ito.
FILLS = {
    "GO": (0x00, 0x9E, 0x73),
    "NO-GO": (0xD5, 0x5E, 0x00),
    "CUTTING": (0xE6, 0x9F, 0x00),
    "DOUBT": (0x56, 0xB4, 0xE9),
}
# Least share of the window that a verdict's fill covers: the block is a quarter of the panel high.
FILL_SHARE = 0.02

checks = 0


def check(right, what):
    global checks
    if not right:
        raise Failed(what)
    checks += 1


class Bench:
    """A workspace, a gauge, and the window on them."""

    def __init__(self, program, screen, folder, plan=TWO):
        self.program, self.screen, self.folder = program, screen, folder
        (folder / "workspace").mkdir(parents=True, exist_ok=True)
        (folder / "rescue").mkdir(exist_ok=True)
        (folder / "workspace" / "gauges.toml").write_text(GAUGES)
        (folder / "plan.toml").write_text(plan)
        self.gauge = Gauge(folder / "port")
        self.process = self.id = None
        self.frames = folder / "frames"
        self.rescue = folder / "rescue"

    def environment(self):
        kept = {name: value for name, value in os.environ.items() if name != "WAYLAND_DISPLAY"}
        return {
            **kept,
            "DISPLAY": self.screen.display,
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "TZ": "UTC",
            "LC_ALL": "C.UTF-8",
            "TMPDIR": str(self.rescue),
            "FITLEDGER_FRAME_LOG": str(self.frames),
        }

    def open(self, *more):
        """Opens the window; the milliseconds until something was on the screen."""
        if not more:
            source = f"mic-25=serial:{self.gauge.path}@line-free"
            more = ["--plan", str(self.folder / "plan.toml"), "--gauge", source]
        command = [self.program, "--workspace", str(self.folder / "workspace"), "window", *more]
        empty = self.screen.digest((0, 0, 400, 300))
        started = time.monotonic()
        self.process = subprocess.Popen(
            command,
            env=self.environment(),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=open(self.folder / "said", "ab"),
        )
        self.alive_until(lambda: self.screen.digest((0, 0, 400, 300)) != empty, "first frame", 30, 0.001)
        first_ms = (time.monotonic() - started) * 1000
        search = ["search", "--onlyvisible", "--pid", self.process.pid]
        found = wait_until(lambda: self.screen.xdotool(*search), "window")
        self.id = found.splitlines()[-1]
        self.screen.xdotool("windowmove", "--sync", self.id, 0, 0)
        self.screen.xdotool("windowfocus", "--sync", self.id)
        time.sleep(0.3)
        return first_ms

    def alive_until(self, condition, what, seconds=10, every=0.02):
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
        left, top = max(0, int(found["X"])), max(0, int(found["Y"]))
        width = min(int(found["WIDTH"]), self.screen.width - left)
        return left, top, width, min(int(found["HEIGHT"]), self.screen.height - top)

    def picture(self, name=None):
        picture = self.screen.picture(self.place())
        if name:
            picture.save(PICTURES / f"{name}.png")
        return picture

    def keys(self, *names):
        self.screen.xdotool("key", "--delay", 60, *names)

    def journals(self):
        places = [self.folder / "workspace" / "sessions", self.folder / "rescue" / "fitledger-sessions"]
        return sorted((path for place in places for path in place.glob("*.jsonl")), key=lambda p: p.stat().st_mtime_ns)

    def events(self, kind=None):
        """The events of all its journals; what is not a whole line is not counted."""
        events = []
        for path in self.journals():
            for line in path.read_bytes().split(b"\n")[:-1]:
                try:
                    events.append(json.loads(line))
                except ValueError:
                    continue
        events.sort(key=lambda event: event["seq"])
        return [event for event in events if kind is None or event["kind"] == kind]

    def more(self, kind, before, seconds=10):
        """Waits until there are more events of a kind than before; the last of them."""
        found = lambda: [event for event in self.events(kind)][len(before) :]
        return self.alive_until(found, f"{kind} in the journal", seconds)[-1]

    def answer(self, number, kind="verdict_given"):
        """Sends a reading, and waits for its answer and for the screen to stand still."""
        before = self.events(kind)
        self.gauge.show(number)
        body = self.more(kind, before)["body"]
        self.settle()
        return body

    def settle(self):
        last = None
        for _ in range(100):
            time.sleep(0.1)
            now = self.screen.digest(self.place())
            if now == last:
                return
            last = now
        raise Failed("the screen does not stand still")

    def ticks(self):
        """Processor time so far, in hundredths of a second."""
        fields = pathlib.Path(f"/proc/{self.process.pid}/stat").read_text().rsplit(")", 1)[1].split()
        return int(fields[11]) + int(fields[12])

    def latencies(self, since=0):
        """Milliseconds from receiving a reading to the frame that shows it, from the frame log."""
        found = []
        for line in self.frames.read_text().splitlines() if self.frames.exists() else []:
            try:
                _, sequence, received, drawn = map(float, line.split()[:4])
            except ValueError:
                continue
            if sequence > since:
                found.append(drawn - received)
        return found

    def check_sound(self):
        for path in self.journals():
            found = independent_reader.check(path.read_bytes())
            check(found["state"] in ("sound", "not_closed", "torn_tail"), f"{path.name}: {found}")

    def end(self):
        if self.process and self.process.poll() is None:
            self.process.kill()
            self.process.wait(10)
        for end in (self.gauge.master, self.gauge.slave):
            if end is not None:
                os.close(end)


def check_fill(bench, word, name):
    picture = bench.picture(name)
    share = picture.share(FILLS[word])
    check(share >= FILL_SHARE, f"{name}: {share:.2%} of the window has the colour of {word}")
    print(f"  {word}: {share:.1%} of the window in its colour")


def told(latencies):
    """Median and 99th percentile, in milliseconds and frames."""
    if len(latencies) < 2:
        return "no latencies in the frame log"
    ordered = sorted(latencies)
    middle, late = statistics.median(ordered), ordered[min(len(ordered) - 1, int(len(ordered) * 0.99))]
    frames = lambda ms: f"{ms:.1f} ms = {ms / FRAME_MS:.2f} frames"
    return f"p50 {frames(middle)}, p99 {frames(late)}, most {frames(ordered[-1])}, n {len(ordered)}"


def no_display(program, screen, folder):
    """Without a display the program says what to do instead, and makes no journal."""
    environment = {
        name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")
    }
    for arguments in ([], ["window"]):
        command = [program, "--workspace", str(folder / "none"), *arguments]
        done = subprocess.run(
            command, env=environment, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=30
        )
        said = done.stdout + done.stderr
        check(done.returncode == 3, f"{arguments}: exit {done.returncode}, not 3: {said}")
        check("fitledger inspect --demo" in said, f"{arguments} does not say what to do: {said}")
        check(not list(folder.glob("**/*.jsonl")), f"{arguments} made a journal")
        check("panicked" not in said, f"{arguments}: {said}")


def measuring(program, screen, folder):
    """Readings of the gauge and of the keyboard reach journal and screen; idle costs nothing."""
    bench = Bench(program, screen, folder)
    try:
        first_ms = bench.open()
        print(f"  first frame on the screen {first_ms:.0f} ms after the start of the program")
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        fresh = bench.picture("fresh")
        check(len(fresh.colours()) > 20, "the window is empty")
        bench.keys("c")
        bench.more("cutting_switched", [])
        body = bench.answer("20.046", "cutting_noted")
        check(body["value_at_20"] == "20.046", body)
        check_fill(bench, "CUTTING", "cutting")
        bench.keys("c")
        wait_until(lambda: len(bench.events("cutting_switched")) == 2, "end of cutting")
        check(bench.answer("20.040")["verdict"] == "NO-GO", bench.events()[-1])
        check_fill(bench, "NO-GO", "nogo-on")
        check(bench.answer("20.0082")["verdict"] == "GO", bench.events()[-1])
        check_fill(bench, "GO", "go")
        typed_and_voided(bench)
        idle(bench)
        bench.check_sound()
        unplugged(bench)
        bench.check_sound()
    finally:
        bench.end()


def typed_and_voided(bench):
    before = bench.events("reading_received")
    bench.keys("1", "5", "period", "0", "0", "5")
    bench.settle()
    bench.picture("typing")
    check(len(bench.events("reading_received")) == len(before), "half a number was recorded")
    bench.keys("BackSpace", "0", "Return")
    typed = bench.more("reading_received", before)
    check((typed["body"]["origin"], typed["body"]["value"]) == ("typed", "15.000"), typed)
    print(f"  typed: {typed['body']['raw']} of {typed['body']['gauge']}")
    bench.settle()
    bench.keys("BackSpace")
    bench.settle()
    bench.picture("void")
    bench.keys("1")
    voided = bench.more("reading_voided", [])
    check(voided["body"]["reading"] == typed["seq"], voided)
    check(voided["body"]["reason"], "no reason was recorded")
    print(f"  voided: {voided['body']['reason']}")
    bench.settle()


def idle(bench):
    """Ten seconds of nothing to do: no processor time, counted in hundredths of a second."""
    bench.settle()
    time.sleep(1)
    before, frames = bench.ticks(), len(bench.latencies())
    time.sleep(10)
    used = bench.ticks() - before
    print(f"  idle: {used} ticks in 10 s")
    check(used == 0, f"{used} hundredths of a second were used in 10 s of nothing to do")
    check(len(bench.latencies()) == frames, "frames were drawn for nothing")


def quick(bench):
    """From the last byte to the frame that shows it, one reading at a time."""
    since = bench.events()[-1]["seq"]
    place = bench.place()
    outside = []
    for turn in range(60):
        bench.settle()
        before = bench.screen.digest(place)
        written = time.monotonic()
        bench.gauge.show(f"20.00{7 + turn % 4}")
        bench.alive_until(lambda: bench.screen.digest(place) != before, "change on the screen", 5, 0)
        outside.append((time.monotonic() - written) * 1000)
    inside = bench.latencies(since)
    check(len(inside) >= 30, f"{len(inside)} frames with a new reading are in the frame log")
    print(f"  one at a time, inside the program: {told(inside)}")
    print(f"  one at a time, from the byte to the screen: {told(outside)}")


def unplugged(bench):
    """The cable is drawn: that is in the journal and on the screen; and it can be put back."""
    before, picture = bench.events("gauge_state_changed"), bench.screen.digest(bench.place())
    bench.gauge.unplug()
    changed = bench.more("gauge_state_changed", before)
    check(changed["body"]["state"] == "unplugged", changed)
    bench.settle()
    check(bench.screen.digest(bench.place()) != picture, "the screen says nothing of it")
    bench.picture("unplugged")
    bench.keys("g")
    bench.settle()
    bench.picture("glance")
    bench.keys("g")
    bench.check_alive()
    before = bench.events("gauge_state_changed")
    bench.gauge.plug_in()
    changed = bench.more("gauge_state_changed", before, 20)
    check(changed["body"]["state"] == "attached", changed)
    before = bench.events("reading_received")
    bench.gauge.show("14.996")
    check(bench.more("reading_received", before)["body"]["value"] == "14.996", "a reading is lost")


def killed_and_continued(program, screen, folder):
    """After kill -9 the session goes on where it was."""
    bench = Bench(program, screen, folder)
    try:
        bench.open()
        check(bench.answer("20.008")["verdict"] == "GO", bench.events()[-1])
        place = bench.answer("14.996")["place"]
        check((place["feature"], place["point"]) == ("B", 1), place)
        bench.picture("before-kill")
        bench.process.send_signal(signal.SIGKILL)
        bench.process.wait(10)
        bench.check_sound()
        bench.open("--continue", str(bench.journals()[-1]), *bench_gauge(bench))
        bench.more("session_resumed", [])
        bench.settle()
        bench.picture("after-kill")
        place = bench.answer("14.995")["place"]
        check((place["part"], place["feature"], place["point"]) == (1, "B", 2), place)
        check(bench.events()[-1]["body"].get("verdict") == "GO", bench.events()[-1])
        check(len(bench.journals()) == 1, "there is more than one journal")
        bench.check_sound()
    finally:
        bench.end()


def bench_gauge(bench):
    return ["--gauge", f"mic-25=serial:{bench.gauge.path}@line-free"]


def flood(program, screen, folder):
    """As many readings as the fastest line can carry: all of them are in the journal."""
    bench = Bench(program, screen, folder, plan=ONE)
    try:
        bench.open()
        check(bench.answer("20.008")["verdict"] == "GO", bench.events()[-1])
        quick(bench)
        before = len(bench.events("reading_received"))
        since = bench.events()[-1]["seq"]
        wanted, sent, started, ticks = FLOOD_A_SECOND * FLOOD_SECONDS, 0, time.monotonic(), bench.ticks()
        while sent < wanted:
            due = min(wanted, int((time.monotonic() - started) * FLOOD_A_SECOND) + 1)
            lines = (f"20.0{7 + at % 4:02}\r\n" for at in range(sent, due))
            bench.gauge.send("".join(lines).encode())
            sent = due
            time.sleep(0.004)
        took = time.monotonic() - started
        all_in = lambda: len(bench.events("reading_received")) - before >= wanted
        bench.alive_until(all_in, f"{wanted} readings in the journal", 60, 0.5)
        late = time.monotonic() - started - took
        check(len(bench.events("reading_received")) - before == wanted, "more readings than were sent")
        refused = bench.events("reading_refused")
        check(not refused, f"{len(refused)} readings were refused: {refused[:1]}")
        print(f"  {wanted} readings in {took:.1f} s, the last recorded {late:.1f} s later at most,")
        print(f"  {(bench.ticks() - ticks) / took:.0f} % of one processor")
        bench.settle()
        inside = bench.latencies(since)
        check(len(inside) >= 60, f"{len(inside)} frames showed a new reading in {took:.0f} s")
        print(f"  under the flood, inside the program: {told(inside)}")
        print(f"  {len(inside) / took:.1f} frames a second with something new")
        bench.picture("after-flood")
        digest = bench.screen.digest(bench.place())
        bench.keys("g")
        bench.settle()
        check(bench.screen.digest(bench.place()) != digest, "the window does not answer a key")
        bench.check_sound()
    finally:
        bench.end()


def full_disk(program, screen, folder):
    """A full disk: NOT RECORDED is not to be overlooked, nothing is lost, recording goes on."""
    for rescued in (False, True):
        bench = Bench(program, screen, folder / str(rescued))
        sessions = bench.folder / "workspace" / "sessions"
        sessions.mkdir()
        mount = ["mount", "-t", "tmpfs", "-o", f"size={2 * 4096}", "tmpfs", sessions]
        subprocess.run(mount, check=True)
        if not rescued:
            # A file where the other folder would be: nowhere to go on.
            bench.rescue = bench.folder / "no-folder"
            bench.rescue.write_text("")
        try:
            bench.open()
            until_full(bench, rescued)
            bench.check_sound()
        finally:
            bench.end()
            subprocess.run(["umount", sessions], check=True)


def until_full(bench, rescued):
    sent = 0
    for turn in range(12):
        bench.gauge.show(f"20.00{6 + turn % 4}" if turn % 3 == 0 else f"14.99{4 + turn % 4}")
        sent += 1
        time.sleep(0.4)
    bench.settle()
    bench.check_alive()
    recorded = lambda: len(bench.events("reading_received"))
    if rescued:
        bench.alive_until(lambda: recorded() == sent, f"{sent} readings in the journals", 30)
        places = {path.parent.name for path in bench.journals()}
        check("fitledger-sessions" in places, f"the session did not go on elsewhere: {places}")
        bench.picture("rescued")
        print(f"  {sent} readings, {len(bench.journals())} journals, the last one elsewhere")
        return
    check(recorded() < sent, "the disk was not full")
    picture = bench.picture("not-recorded")
    share = picture.share(FILLS["NO-GO"])
    check(share >= FILL_SHARE, f"{share:.2%} of the window says NOT RECORDED")
    print(f"  NOT RECORDED: {sent - recorded()} of {sent} readings, {share:.1%} of the window")
    sessions = bench.folder / "workspace" / "sessions"
    subprocess.run(["mount", "-o", "remount,size=1m", sessions], check=True)
    bench.alive_until(lambda: recorded() == sent, f"{sent} readings after making room", 90, 0.5)
    bench.settle()
    after = bench.picture("recorded-again").share(FILLS["NO-GO"])
    check(after < share, "the screen still says NOT RECORDED")


CASES = [no_display, measuring, killed_and_continued, flood, full_disk]


def main(arguments):
    program = str(pathlib.Path(arguments[0]).resolve())
    wanted = arguments[1:]
    failures = []
    with tempfile.TemporaryDirectory() as scratch:
        screen = Screen(pathlib.Path(scratch) / "screen")
        try:
            for case in CASES:
                if wanted and case.__name__ not in wanted:
                    continue
                print(f"{case.__name__}: {case.__doc__}", flush=True)
                folder = pathlib.Path(scratch) / case.__name__
                folder.mkdir()
                try:
                    case(program, screen, folder)
                except Failed as failure:
                    failures.append(f"{case.__name__}: {failure}")
                    screen.picture().save(PICTURES / f"failed-{case.__name__}.png")
        finally:
            screen.close()
    print(f"{checks} checks of the real window, {len(failures)} cases failed", *failures, sep="\n")
    return 1 if failures or not checks else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
