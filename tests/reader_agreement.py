#!/usr/bin/env python3
"""Two readers of one form: `fitledger verify` and tests/independent_reader.py, which share no code
and know the form from the same page. They must say the same of every record, whole or damaged:
state, events, head, and each finding with its file, line, offset and length.

    reader_agreement.py PROGRAM [--seed N] [FILE...]   each FILE is read as well, as it is

FITLEDGER_NIGHTLY=1 takes ten times the samples.

Of the records in tests/journals the expected findings stand beside them; their bodies mean nothing,
so that the program, which reads bodies, may be stricter there, never milder. Everything else is made
from the sessions/example-* records: cut off, bits flipped, blocks overwritten, lines dropped,
doubled and swapped, signatures put in, right ones and moved ones.
"""

import collections, json, os, pathlib, random, subprocess, sys, tempfile, time

sys.dont_write_bytecode = True
here = pathlib.Path(__file__).parent
sys.path.insert(0, str(here))
import independent_reader, independent_writer

STATES = ["sound", "not_closed", "torn_tail", "damaged"]  # worst last
# What only the program can find, because it reads bodies, judges anew and knows the folder.
BODIES = {
    "continued", "earlier_file_absent", "reading_lost", "part_start_lost",
    "verdict_differs", "event_misfit", "body_unreadable", "setup_unreadable", "opening_missing",
    "reading_without_end", "tables_differ", "unknown_events",
}  # fmt: skip
TIMES = 10 if os.environ.get("FITLEDGER_NIGHTLY") else 1


class Records:
    """The example records, each the files of one session, the newest last."""

    def __init__(self):
        names = sorted(path.name for path in (here.parent / "sessions").glob("example-*.jsonl"))
        content = {name: (here.parent / "sessions" / name).read_bytes() for name in names}
        self.all = [{name: content[name]} for name in names if not name[:-6].endswith("-2")]
        for files in self.all:
            second = next(iter(files))[:-6] + "-2.jsonl"
            if second in content:
                files[second] = content[second]

    def each(self):
        for files in self.all:
            for name in files:
                yield files, name, files[name]


def changed(files, name, content):
    return {**files, name: content}


def cut_off(records, random):
    """T1: cut at a sample of all offsets, and at every line's end and beside it."""
    for files, name, content in records.each():
        ends = [at + 1 for at, byte in enumerate(content) if byte == 10]
        offsets = set(random.sample(range(len(content)), min(len(content), 150 * TIMES)))
        for end in ends:
            offsets |= {end - 1, end, end + 1}
        for at in sorted(offsets):
            yield changed(files, name, content[:at])


def flipped(records, random):
    """T2: one bit."""
    for files, name, content in records.each():
        for _ in range(250 * TIMES):
            at, bit = random.randrange(len(content)), random.randrange(8)
            yield changed(files, name, content[:at] + bytes([content[at] ^ 1 << bit]) + content[at + 1 :])


def line_ends_flipped(records, _):
    """T2: every bit of some line ends: two lines become one that is none."""
    for files, name, content in records.each():
        for at in [at for at, byte in enumerate(content) if byte == 10][:: 4 if TIMES == 1 else 1]:
            for bit in range(8):
                yield changed(files, name, content[:at] + bytes([10 ^ 1 << bit]) + content[at + 1 :])


def overwritten(records, random):
    """T3: each block of 512 and 4096 bytes becomes zeros, all ones, or another block."""
    for files, name, content in records.each():
        for size in (512, 4096):
            starts = range(0, len(content), size)
            for start in starts:
                other = random.choice(starts)
                length = len(content[start : start + size])
                for block in (bytes(length), b"\xff" * length, content[other : other + length]):
                    made = content[:start] + block + content[start + length :]
                    if made != content:
                        yield changed(files, name, made)


def lines_moved(records, _):
    """T3: each line dropped, doubled, and swapped with the next."""
    for files, name, content in records.each():
        lines = content.splitlines(keepends=True)
        for at, line in enumerate(lines):
            yield changed(files, name, b"".join(lines[:at] + lines[at + 1 :]))
            yield changed(files, name, b"".join(lines[:at] + [line] + lines[at:]))
            if lines[at + 1 : at + 2]:
                swapped = lines[:at] + [lines[at + 1], line] + lines[at + 2 :]
                yield changed(files, name, b"".join(swapped))


def torn_again(records, random):
    """T4: a line is cut off, and so is the one that was to say so; then one says so, or the next."""
    for files, name, content in records.each():
        lines = content.splitlines(keepends=True)
        for at in random.sample(range(1, len(lines)), min(len(lines) - 1, 12 * TIMES)):
            before, torn = b"".join(lines[:at]), lines[at][: random.randrange(1, len(lines[at]) - 1)]
            one, made = json.loads(lines[at - 1]), before + torn
            if one["kind"] == "session_closed":
                continue
            for _ in range(3):
                body = {"bytes": len(made) - len(before), "offset": len(before)}
                line, own = independent_writer.line(one["seq"] + 1, "tail_damaged", body, one["hash"])
                for cut in {0, 1, 14, 15, 16, 17, *random.sample(range(len(line)), 6)}:
                    yield changed(files, name, made + b"\n" + line[:cut])
                more, _ = independent_writer.line(one["seq"] + 2, "tool_changed", {"note": ""}, own)
                yield changed(files, name, made + b"\n" + line + more)
                made += b"\n" + line[: random.randrange(1, len(line) - 1)]


def signed(records, _):
    """A signature at each place of a record: right, with another line's number, with another hash."""
    files = next(files for files in records.all if "example-not-closed.jsonl" in files)
    name, content = next(iter(files.items()))
    lines = content.splitlines(keepends=True)
    links = [(one["seq"], one["hash"]) for one in map(json.loads, lines)]
    for at in range(len(lines)):
        seq, own = links[at]
        for covers, named in ((seq, own), (seq - 1, own), (seq, links[at - 1][1]), links[at - 1]):
            body = {"part": 0, "meaning": "checked", "manner": "plain", "by": "A. Turner"}
            body.update({"reason": "", "covers": covers, "hash": named, "left": []})
            line, _ = independent_writer.line(seq + 1, "signed_off", body, own)
            yield changed(files, name, b"".join(lines[: at + 1]) + line)


def untouched(records, _):
    yield from records.all


def answers(program, scratch, samples):
    """What each reader says of each sample."""
    newest = []
    for number, files in enumerate(samples):
        folder = scratch / f"{number:06}"
        folder.mkdir()
        for name, content in files.items():
            (folder / name).write_bytes(content)
        newest.append(folder / list(files)[-1])
    ours = []
    for at in range(0, len(newest), 500):
        command = [program, "--workspace", scratch, "verify", "--json", *newest[at : at + 500]]
        environment = {**os.environ, "TMPDIR": str(scratch)}
        done = subprocess.run(command, env=environment, capture_output=True)
        ours += map(json.loads, done.stdout.splitlines())
    return zip(newest, ours, map(independent_reader.session, newest), strict=True)


def told(answer):
    places = [
        (found["file"], found["line"], found["offset"], found["length"], found["kind"])
        for found in answer["findings"]
        if found["kind"] not in BODIES
    ]
    # The program tells of signatures after everything else.
    return (answer["state"], answer["events"], answer["head"], sorted(places))


def compare(program, group, samples):
    tally, findings = collections.Counter(), 0
    with tempfile.TemporaryDirectory() as scratch:
        for path, ours, theirs in answers(program, pathlib.Path(scratch), samples):
            if "error" in ours or told(ours) != told(theirs):
                kept = pathlib.Path(tempfile.mkdtemp()) / path.name
                kept.write_bytes(path.read_bytes())
                sys.exit(f"{group}: judged differently, kept as {kept}:\n{ours}\n{theirs}")
            tally[theirs["state"]] += 1
            findings += len(theirs["findings"])
    return tally, findings


def golden(program):
    """The records whose findings were written beside them by whoever damaged them."""
    files, tally, stricter = sorted((here / "journals").glob("*/*.jsonl")), collections.Counter(), 0
    for path in files:
        expected = json.loads(path.with_suffix(".expected.json").read_text())
        if independent_reader.check(path.read_bytes()) != expected:
            sys.exit(f"{path} is not judged as expected: {independent_reader.check(path.read_bytes())}")
        done = subprocess.run([program, "verify", "--json", path], capture_output=True)
        ours, theirs = json.loads(done.stdout), independent_reader.session(path)
        difference = STATES.index(ours["state"]) - STATES.index(theirs["state"])
        if difference < 0 or told(ours)[1:] != told(theirs)[1:]:
            sys.exit(f"{path} is judged differently:\n{ours}\n{theirs}")
        stricter += difference > 0
        tally[theirs["state"]] += 1
    return tally, sum(len(independent_reader.session(path)["findings"]) for path in files), stricter


def main(program, seed, given):
    program = str(pathlib.Path(program).resolve())
    records, total, since = Records(), 0, time.monotonic()
    print(f"seed {seed}")
    print("| group | records | sound | not closed | torn tail | damaged | findings | seconds |")
    print("|---|---|---|---|---|---|---|---|")

    def row(name, tally, findings, begun):
        counts = " | ".join(str(tally[state]) for state in STATES)
        passed = time.monotonic() - begun
        print(f"| {name} | {sum(tally.values())} | {counts} | {findings} | {passed:.1f} |", flush=True)

    tally, findings, stricter = golden(program)
    row("tests/journals", tally, findings, since)
    total += sum(tally.values())
    for name, make in (
        ("sessions/example-*", untouched),
        ("given", lambda *_: ({path.name: path.read_bytes()} for path in given)),
        ("T1 cut off", cut_off),
        ("T2 a bit flipped", flipped),
        ("T2 a line end flipped", line_ends_flipped),
        ("T3 a block overwritten", overwritten),
        ("T3 lines moved", lines_moved),
        ("T4 torn again", torn_again),
        ("signatures", signed),
    ):
        begun = time.monotonic()
        tally, findings = compare(program, name, list(make(records, random.Random(seed))))
        row(name, tally, findings, begun)
        total += sum(tally.values())
    seconds = time.monotonic() - since
    print(f"{total} records, both readers agree on state, events, head and every finding; bodies made")
    print(f"the program stricter in {stricter} of tests/journals; {seconds:.0f} s")


if __name__ == "__main__":
    program, *rest = sys.argv[1:]
    seed = int(rest.pop(rest.index("--seed") + 1)) if "--seed" in rest else random.randrange(10**6)
    main(program, seed, [pathlib.Path(name) for name in rest if name != "--seed"])
