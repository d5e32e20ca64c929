#!/usr/bin/env python3
"""T14: a record of a million events is verified, every verdict derived anew, in bounded memory.

A session is measured with the real program; its readings are repeated, each line numbered and
hashed anew by sessions/FORMAT.md alone, and the whole is verified. Standard library only.
"""
import hashlib
import json
import os
import resource
import subprocess
import sys
import tempfile
import time

EVENTS = 1_000_000
# The plan's goal, for what the program keeps. The pages of its own file come on top: how many of
# them are in memory is the kernel's choice (4 to 16 MiB were seen for the same program), and they
# cost nothing that cannot be had back.
MEMORY_MIB = 32
# Seldom enough to cost nothing; often enough that little is kept between two looks.
LOOK_SECONDS = 0.002

PLAN = """[part]
name = "Pump shaft"
[[feature]]
id = "A"
callout = "20 k6"
points = 90
"""


def session(program, folder):
    plan = os.path.join(folder, "plan.toml")
    with open(plan, "w", encoding="utf-8") as target:
        target.write(PLAN)
    typed = "".join(f"20.{7 + number % 5:03}\n" for number in range(91))
    subprocess.run(
        [program, "--workspace", folder, "inspect", "--plan", plan, "--gauge", "typed"],
        input=typed, text=True, check=False, capture_output=True)
    sessions = os.path.join(folder, "sessions")
    [name] = os.listdir(sessions)
    with open(os.path.join(sessions, name), encoding="utf-8") as source:
        return [json.loads(line) for line in source]


def bodies(lines):
    """The opening, then the first part's events again and again, then the close."""
    starts = [at for at, one in enumerate(lines) if one["kind"] == "part_started"]
    yield lines[0]["kind"], lines[0]["body"]
    # A part's first reading is on the disk before the part is started.
    first = lines[starts[0] - 1:starts[1] - 1]
    seq, part = 2, 1
    while seq + len(first) < EVENTS:
        later = seq - first[0]["seq"]
        for one in first:
            body = dict(one["body"])
            if "part" in body:
                body["part"] = part
            if "place" in body:
                body["place"] = dict(body["place"], part=part)
            if "reading" in body:
                body["reading"] += later
            if "from" in body:
                body["from"] = [reading + later for reading in body["from"]]
            yield one["kind"], body
        seq, part = seq + len(first), part + 1
    while seq < EVENTS:
        yield "cutting_switched", {"on": seq % 2 == 0}
        seq += 1
    readings = (part - 1) * sum(one["kind"] == "reading_received" for one in first)
    end = {"readings": readings, "parts": part - 1, "reason": "a million events"}
    yield "session_closed", end


def most_kept(process):
    """The most memory that is not a file's, in MiB, and how often it was looked at."""
    most, looks = 0, 0
    while process.poll() is None:
        try:
            with open(f"/proc/{process.pid}/status", encoding="ascii") as status:
                kept = [int(line.split()[1]) for line in status if line.startswith("RssAnon:")]
        except ProcessLookupError:
            kept = []
        most, looks = max([most, *kept]), looks + len(kept)
        time.sleep(LOOK_SECONDS)
    return most / 1024, looks


def main():
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        lines = session(program, folder)
        name = os.path.join(folder, "million.jsonl")
        previous, seq = "0" * 64, 0
        with open(name, "wb") as target:
            for kind, body in bodies(lines):
                seq += 1
                text = json.dumps(body, separators=(",", ":"), ensure_ascii=False)
                head = (f'{{"v":1,"seq":{seq},"time":"2026-11-24T22:51:03.123Z","mono":{seq},'
                        f'"kind":"{kind}","body":{text},"prev":"{previous}"')
                previous = hashlib.sha256(b"\0" + head.encode()).hexdigest()
                target.write(f'{head},"hash":"{previous}"}}\n'.encode())
        started = time.monotonic()
        told = os.path.join(folder, "told.json")
        with open(told, "wb") as target:
            process = subprocess.Popen([program, "verify", "--json", name], stdout=target)
        memory, looks = most_kept(process)
        seconds = time.monotonic() - started
        with open(told, encoding="utf-8") as source:
            answer = json.load(source)
    largest = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"T14: {answer['events']} events, {answer['state']}, {seconds:.1f} s, "
          f"{memory:.1f} MiB kept at most (bound {MEMORY_MIB}), {looks} looks; "
          f"{largest:.1f} MiB with the pages of its file")
    faults = [one for one in answer["findings"] if not one["notice"]]
    if (answer["state"], answer["events"], answer["head"], faults) != ("sound", seq, previous, []):
        sys.exit(f"the record was not found sound: {faults[:3]}")
    # A million readings do not go into less than a few bytes each: then nothing was looked at.
    if looks < 50 or not 4 < memory <= MEMORY_MIB:
        sys.exit("too much memory, or it was not seen")


main()
