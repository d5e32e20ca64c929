#!/usr/bin/env python3
"""Loads the program with gauges on pseudo-terminals: a flood that must lose nothing, and the time
from the last byte of a reading to its verdict.

    serial_load.py PROGRAM flood [SECONDS]     823 readings a second from one gauge
    serial_load.py PROGRAM latency [ROUNDS]    six gauges, one reading after the other and at once

Nothing here decides by the clock: the flood fails when a reading is lost or another comes out, the
latency only prints a table.
"""
import json
import os
import pty
import statistics
import subprocess
import sys
import tempfile
import termios
import threading
import time
import tty

RATE = 823  # readings a second: 9 characters each at 115200 baud, with room (reliability_plan S4)


class Gauge:
    """The far end of a line."""

    def __init__(self):
        self.far, self.near = pty.openpty()
        tty.setraw(self.far)
        tty.setraw(self.near)
        self.path = os.ttyname(self.near)

    def send(self, text):
        data = text.encode()
        while data:
            data = data[os.write(self.far, data):]


def started(program, workspace, gauges):
    command = [program, "inspect", "--json", "--callout", "20 k6", "--advance", "always"]
    for name, gauge in gauges.items():
        source = f"serial:{gauge.path}@line-strict"
        command += ["--gauge", f"{name}={source}" if name else source]
    running = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        env={**os.environ, "FITLEDGER_WORKSPACE": workspace},
    )
    until_attached(workspace, len(gauges))
    return running


def journal(workspace):
    folder = os.path.join(workspace, "sessions")
    names = sorted(os.listdir(folder)) if os.path.isdir(folder) else []
    return os.path.join(folder, names[-1]) if names else None


def until_attached(workspace, count):
    since = time.monotonic()
    while time.monotonic() - since < 30:
        path = journal(workspace)
        if path and open(path).read().count('"attached"') >= count:
            return
        time.sleep(0.02)
    sys.exit("the ports were not opened")


def ended(running):
    running.send_signal(2)
    running.stdout.read()
    return running.wait(30)


def flood(program, seconds):
    workspace = tempfile.mkdtemp()
    gauge = Gauge()
    running = started(program, workspace, {"": gauge})
    total = RATE * seconds
    # Inside the limits: what looks wrong waits for an answer and would be another test.
    values = [f"20.{2 + at % 14:03}" for at in range(total)]
    got = []

    def read():
        for line in running.stdout:
            answer = json.loads(line)
            answer = answer.get("held") or answer.get("set_aside") or answer
            if "value" in answer:
                got.append(answer["value"])

    reader = threading.Thread(target=read)
    reader.start()
    begun = time.monotonic()
    sent = 0
    while sent < total:
        due = min(total, int((time.monotonic() - begun) * RATE) + 1)
        for at in range(sent, due):
            gauge.send(f"+{values[at]}\r")
        sent = due
        time.sleep(0.002)
    sending = time.monotonic() - begun
    while time.monotonic() - begun < sending + 60:
        if lines(workspace, "reading_received") >= total:
            break
        time.sleep(0.1)
    caught_up = time.monotonic() - begun - sending
    running.send_signal(2)
    reader.join(60)
    running.wait(60)
    recorded = raw(workspace)
    wanted = [f"+{value}" for value in values]
    if recorded != wanted:
        at = next((i for i, (a, b) in enumerate(zip(recorded, wanted)) if a != b), len(recorded))
        sys.exit(f"{len(recorded)} of {total} readings are recorded; the first that differs: {at}")
    print(
        f"flood: {total} readings in {sending:.1f} s ({total / sending:.0f} a second), all recorded"
        f" in order; the last {caught_up:.1f} s after it was sent"
    )


def events(workspace):
    return (json.loads(line) for line in open(journal(workspace)))


def lines(workspace, kind):
    return open(journal(workspace)).read().count(f'"kind":"{kind}"')


def raw(workspace):
    received = (one["body"] for one in events(workspace) if one["kind"] == "reading_received")
    return [bytes.fromhex(one["raw"]).decode() for one in received]


def latency(program, rounds):
    workspace = tempfile.mkdtemp()
    names = [f"mic-{at}" for at in range(1, 7)]
    with open(os.path.join(workspace, "gauges.toml"), "w") as register:
        for name in names:
            register.write(f'[[gauge]]\nid = "{name}"\nkind = "outside_micrometer"\n')
            register.write('range = [0, 25]\nresolution = 0.001\nmpe = 0.002\n\n')
    gauges = {name: Gauge() for name in names}
    running = started(program, workspace, gauges)
    answered = {}
    arrived = threading.Condition()

    def read():
        for line in running.stdout:
            now = time.monotonic()
            answer = json.loads(line)
            if answer.get("verdict"):
                with arrived:
                    answered[answer["value"]] = now
                    arrived.notify_all()

    threading.Thread(target=read, daemon=True).start()
    values = (f"20.{at:03}" for at in range(2, 16))
    values = list(values)

    def timed(batch):
        """Sends a value on each of these lines; the seconds until each has its verdict."""
        begun = {}
        with arrived:
            answered.clear()
        for name, value in batch:
            gauges[name].send(f"+{value}\r")
            begun[value] = time.monotonic()
        with arrived:
            whole = arrived.wait_for(lambda: len(answered) == len(batch), 30)
        if not whole:
            running.kill()
            sys.exit(f"{len(batch) - len(answered)} readings have no verdict")
        return [answered[value] - begun[value] for _, value in batch]

    one, six = [], []
    for turn in range(rounds):
        one += timed([(names[turn % 6], values[turn % 14])])
        time.sleep(0.01)
    for turn in range(rounds // 6):
        # Never what the same gauge sent last: within 150 ms that is the same press.
        batch = [(name, values[(turn + at + 7) % 14]) for at, name in enumerate(names)]
        six += timed(batch)
        time.sleep(0.01)
    ended(running)
    print("latency, last byte on the pseudo-terminal to the verdict on standard output, ms")
    print("| case | readings | median | 95 % | 99 % | largest |")
    print("|---|---|---|---|---|---|")
    for case, all_of in (("six ports, one at a time", one), ("six ports at once", six)):
        ms = sorted(value * 1000 for value in all_of)
        at = lambda share: ms[min(len(ms) - 1, int(share * len(ms)))]
        middle = statistics.median(ms)
        print(f"| {case} | {len(ms)} | {middle:.2f} | {at(.95):.2f} | {at(.99):.2f} | {ms[-1]:.2f} |")


def main():
    program, case = sys.argv[1:3]
    number = int(sys.argv[3]) if len(sys.argv) > 3 else 60
    if case == "flood":
        flood(program, number)
    else:
        latency(program, number if len(sys.argv) > 3 else 300)


main()
