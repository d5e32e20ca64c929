#!/usr/bin/env python3
"""Fitledger beside what a workshop would otherwise use, in turns, in one run.

    anchors.py [TURNS]      builds the benches that it asks

Durable append beside an embedded database (sqlite3, WAL, synchronous=FULL); parsing beside pandas
and beside a loop of readline and float; reading a pseudo-terminal beside pyserial; replay of a
journal beside json and hashlib. What counts is the median of the paired ratios. It fails when a goal
is missed or a result differs. Needs Python with pandas and pyserial.
"""

import hashlib, io, json, os, pty, sqlite3, subprocess, sys, tempfile, threading, time, tty

import numpy as np
import pandas
import serial

EVENTS, LINES, SLOW_READINGS, READINGS = 200_000, 100_000, 3_000, 30_000
GOALS = {
    "durable append / database": 0.60,
    "parsing / pandas": 0.6,
    "parsing / readline and float": 1 / 10,
    "reading a port / pyserial": 1 / 10,
    "replay / json and hashlib": 1 / 6,
}
SMALL_US = 1_000


def built(name):
    command = f"cargo bench --no-default-features --bench {name} --no-run --message-format=json"
    lines = subprocess.run(command.split(), stdout=subprocess.PIPE, text=True, check=True).stdout
    found = [json.loads(line).get("executable") for line in lines.splitlines() if line[:1] == "{"]
    return [path for path in found if path and name in path][-1]


class Asked:
    """A bench that answers one line of JSON for each line."""

    def __init__(self, *command):
        self.process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def __call__(self, name="again"):
        self.process.stdin.write(name + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def end(self):
        self.process.stdin.close()
        if self.process.wait() != 0:
            sys.exit("a bench failed")


def timed(work):
    start = time.perf_counter_ns()
    result = work()
    return time.perf_counter_ns() - start, result


def told(name, theirs, ours, each=1):
    """Median of the paired ratios, without the first turn, which warms up."""
    theirs, ours = np.array(theirs[1:], float), np.array(ours[1:], float)
    low, ratio, high = np.quantile(ours / theirs, [0.25, 0.5, 0.75])
    goal = GOALS[name]
    print(f"{name}: anchor {np.median(theirs) / each / 1e3:.3f} us, project "
          f"{np.median(ours) / each / 1e3:.3f} us; ratio {ratio:.4f} ({low:.4f} to {high:.4f}), "
          f"goal {goal:.4f}: {'met' if ratio <= goal else 'not met'}", flush=True)
    return ratio <= goal


def durable_append(turns, folder):
    os.mkdir(os.path.join(folder, "append"))
    ask = Asked(built("durable_append"), "serve", os.path.join(folder, "append"))
    database = sqlite3.connect(os.path.join(folder, "rows.db"), isolation_level=None)
    database.execute("PRAGMA journal_mode=WAL")
    database.execute("PRAGMA synchronous=FULL")
    database.execute("CREATE TABLE readings (body TEXT)")
    body = "x" * 200
    theirs, ours = [], []
    for _ in range(40 * turns):
        theirs.append(timed(lambda: database.execute("INSERT INTO readings VALUES (?)", (body,)))[0])
        ours.append(ask("recorded")["ns"])
    ask.end()
    return told("durable append / database", theirs, ours)


def lines():
    um = np.random.default_rng(3).integers(0, 10_000_000, LINES)
    text = "".join(f"+{one // 1000:04}.{one % 1000:03} mm\r\n" for one in um)
    return text.encode(), int(um.sum())


def parsing(turns, folder):
    text, total_um = lines()
    path = os.path.join(folder, "lines")
    with open(path, "wb") as target:
        target.write(text)
    ask = Asked(built("parse_readings"), "serve", path)

    def by_pandas():
        frame = pandas.read_csv(io.BytesIO(text), sep=" ", header=None, names=["value", "unit"])
        return frame["value"].sum()

    def by_loop():
        source, total = io.BytesIO(text), 0.0
        while line := source.readline():
            total += float(line[:9])
        return total

    good = True
    for name, work in (("parsing / pandas", by_pandas), ("parsing / readline and float", by_loop)):
        theirs, ours = [], []
        for _ in range(turns + 1):
            took, total = timed(work)
            answer = ask()
            if answer["bad"] or answer["sum_um"] != total_um or round(total * 1000) != total_um:
                sys.exit(f"{name}: {answer} and {total} instead of {total_um} um")
            theirs.append(took)
            ours.append(answer["ns"])
        good &= told(name, theirs, ours, LINES)
    ask.end()
    return good


def feed(master, count):
    """Sends readings from a thread, as fast as they are taken."""
    text = b"+0012.345 mm\r\n" * count

    def send():
        rest = memoryview(text)
        while rest:
            rest = rest[os.write(master, rest[:4096]):]

    thread = threading.Thread(target=send)
    thread.start()
    return thread


def reading_a_port(turns):
    program, theirs, ours = built("serial_to_verdict"), [], []
    for _ in range(max(3, turns // 5) + 1):
        master, slave = pty.openpty()
        tty.setraw(slave)
        port = serial.Serial(os.ttyname(slave), 9600, timeout=5)
        thread = feed(master, SLOW_READINGS)
        first = port.readline()
        start = time.perf_counter_ns()
        total = sum(float(port.readline()[:9]) for _ in range(SLOW_READINGS - 1))
        theirs.append((time.perf_counter_ns() - start) / (SLOW_READINGS - 1))
        assert first and round(total, 3) == round(12.345 * (SLOW_READINGS - 1), 3)
        thread.join()
        port.close()
        process = subprocess.Popen(
            [program, "read", os.ttyname(slave), str(READINGS)], stdout=subprocess.PIPE, text=True)
        assert process.stdout.readline() == "open\n"
        thread = feed(master, READINGS)
        answer = json.loads(process.stdout.readline())
        ours.append(answer["ns"] / answer["readings"])
        thread.join()
        process.wait()
        os.close(master)
        os.close(slave)
    return told("reading a port / pyserial", theirs, ours)


def replay(turns, folder):
    program, path = built("journal_replay"), os.path.join(folder, "journal.jsonl")
    subprocess.run([program, "--events", str(EVENTS), "--write", path], check=True)
    ask = Asked(program, "--serve", path)

    def by_json():
        previous, count = "0" * 64, 0
        with open(path, "rb") as source:
            for line in source:
                event = json.loads(line)
                head = line[:line.rindex(b',"hash":"')]
                previous_here = hashlib.sha256(b"\0" + head).hexdigest()
                assert event["prev"] == previous and event["hash"] == previous_here
                previous, count = previous_here, count + 1
        return count

    theirs, ours = [], []
    for _ in range(max(3, turns // 5) + 1):
        took, count = timed(by_json)
        assert count >= EVENTS
        theirs.append(took)
        ours.append(ask()["ns"])
    ask.end()
    return told("replay / json and hashlib", theirs, ours, EVENTS) & small_session(program, folder)


def small_session(program, folder):
    path = os.path.join(folder, "small.jsonl")
    subprocess.run([program, "--events", "1000", "--write", path], check=True)
    ask = Asked(program, "--serve", path)
    took = np.median([ask()["ns"] for _ in range(300)][20:]) / 1e3
    ask.end()
    print(f"a session of 1,000 events opened: {took:.0f} us, goal {SMALL_US}", flush=True)
    return took <= SMALL_US


def main():
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else 25
    print(f"pandas {pandas.__version__}, pyserial {serial.__version__}, sqlite "
          f"{sqlite3.sqlite_version}, {turns} turns, load {os.getloadavg()[0]:.1f}")
    # Beside the build, so that it is a real disk.
    with tempfile.TemporaryDirectory(dir="target") as folder:
        good = [durable_append(turns, folder), parsing(turns, folder), reading_a_port(turns),
                replay(turns, folder)]
    sys.exit(0 if all(good) else "a goal is missed")


main()
