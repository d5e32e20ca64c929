#!/usr/bin/env python3
"""What one flipped bit costs: a general-purpose embedded database log beside a Fitledger record.

The database is the one in Python's standard library (sqlite3), log mode WAL, synchronous FULL: 100
commits of one row each, its files copied as a stop without warning leaves them. The record is one
of 100 readings, made by the program. In each the same thing happens: one bit is flipped, at each
byte of the log or record in steps of STRIDE. Then it is counted what can still be read.

    damage_comparison.py PROGRAM [STRIDE]     STRIDE 97 bytes; 1 takes every byte

It fails when fewer than 99 of 100 readings are readable (98 where the bit hits a line end, and two
lines become one that is none), when anything is given as read that was not written, or that the bit
hit, when the damage is not reported with the offset and the length of the damaged line, or when the
database loses no more. A reading counts where its line is given back byte for byte.
"""

import json, pathlib, shutil, sqlite3, statistics, subprocess, sys, tempfile, time

ROWS = 100


def flipped(content, at, bit=3):
    return content[:at] + bytes([content[at] ^ 1 << bit]) + content[at + 1 :]


def database(folder):
    """Database and log as an unclean stop leaves them."""
    path = folder / "rows.db"
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("pragma journal_mode=wal")
    db.execute("pragma synchronous=full")
    db.execute("create table reading (number integer primary key, value text)")
    db.execute("pragma wal_checkpoint(truncate)")
    for number in range(ROWS):
        db.execute("insert into reading values (?, ?)", (number, f"25.0{number:05}"))
    files = path.read_bytes(), pathlib.Path(f"{path}-wal").read_bytes()
    db.close()
    return files


def rows_left(files, folder):
    """Rows that can be read, and what the database's own check says."""
    path = folder / "damaged.db"
    for end in ("", "-wal", "-shm"):
        pathlib.Path(f"{path}{end}").unlink(missing_ok=True)
    path.write_bytes(files[0])
    pathlib.Path(f"{path}-wal").write_bytes(files[1])
    try:
        db = sqlite3.connect(path)
        count = db.execute("select count(*) from reading").fetchone()[0]
        said = db.execute("pragma integrity_check").fetchone()[0]
        db.close()
    except sqlite3.DatabaseError as error:
        return 0, f"error: {error}"
    return count, said


def record(program, folder):
    """A record of 100 readings, as the program writes it."""
    typed = "".join(f"25.0{number:05}\n" for number in range(ROWS))
    command = [program, "--workspace", folder, "inspect", "--json", "--callout", "25 H7"]
    command += ["--gauge", "typed", "--advance", "always"]
    subprocess.run(command, input=typed.encode(), stdout=subprocess.DEVNULL, check=True)
    return next((folder / "sessions").glob("*.jsonl")).read_bytes()


def readings_left(program, content, cases, folder):
    """For each case: readings still readable, lines that should not be, and the first finding. Read
    by the program."""
    paths, written = [], content.splitlines()
    for number, at in enumerate(cases):
        # A folder each: a record is looked for among its neighbours.
        path = folder / f"{number}" / "damaged.jsonl"
        path.parent.mkdir()
        path.write_bytes(flipped(content, at))
        paths.append(path)
    for path, at in zip(paths, cases):
        replay = subprocess.run([program, "replay", "--json", path], capture_output=True)
        given = [line for line in replay.stdout.splitlines() if "error" not in json.loads(line)]
        hit = content[:at].count(b"\n")
        right = set(written[:hit] + written[hit + 1 + (content[at] == 10) :])
        false = [line for line in given if line not in right]
        count = sum(json.loads(line)["kind"] == "reading_received" for line in right & set(given))
        verify = subprocess.run([program, "verify", "--json", path], capture_output=True)
        answer = json.loads(verify.stdout)
        found = answer["findings"][0] if answer["findings"] else None
        yield at, count, len(false), answer["state"], found


def main(program, stride=97):
    program, since, faults = str(pathlib.Path(program).resolve()), time.monotonic(), []
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        files = database(folder)
        untouched = rows_left(files, folder)
        assert untouched == (ROWS, "ok"), untouched
        places = range(0, len(files[1]), stride)
        # A frame that is no longer used holds nothing: the log has 100 frames or more, all used.
        theirs = [rows_left((files[0], flipped(files[1], at)), folder) for at in places]
        middle = rows_left((files[0], flipped(files[1], len(files[1]) // 2)), folder)
        content = record(program, folder)
        ends = [at for at, byte in enumerate(content) if byte == 10]
        cases = sorted({*range(0, len(content), stride), len(content) // 2, *ends[:: len(ends) // 5]})
        ours = list(readings_left(program, content, cases, folder))
    in_a_line, at_an_end = [], []
    for at, count, false, state, found in ours:
        (at_an_end if content[at] == 10 else in_a_line).append(count)
        least = ROWS - 2 if content[at] == 10 else ROWS - 1
        begin = content.rfind(b"\n", 0, at) + 1
        line_ends = [end for end in ends if end >= at][: 1 + (content[at] == 10)]
        told = found and (found["offset"], found["length"]) == (begin, line_ends[-1] + 1 - begin)
        if count < least or false or not told or state != "damaged":
            faults.append(f"bit at byte {at}: {count} readings, {false} false, {state}, {found}")
        if at == len(content) // 2:
            place = f"byte {found['offset']}, {found['length']} bytes" if found else "nothing"
            ours_middle = f"{count} of {ROWS}, {state}: {place}"
    lost = [ROWS - count for count, _ in theirs]
    silent = sum(count < ROWS and said == "ok" for count, said in theirs)
    version = sqlite3.sqlite_version
    print(f"| 100 acknowledged readings, one bit flipped | database log {version} | record |")
    print("|---|---|---|")
    print(f"| places tried, one in {stride} bytes | {len(theirs)} of {len(files[1])} bytes | "
          f"{len(ours)} of {len(content)} bytes |")  # fmt: skip
    print(f"| in the middle | {middle[0]} of {ROWS}, its check says “{middle[1]}” | {ours_middle} |")
    print(f"| lost, median (most) | {statistics.median(lost):.0f} ({max(lost)}) | "
          f"{ROWS - statistics.median(in_a_line):.0f} ({ROWS - min(in_a_line + at_an_end)}) |")  # fmt: skip
    print(f"| places where more than two are lost | {sum(n > 2 for n in lost)} | "
          f"{sum(n < ROWS - 2 for n in in_a_line + at_an_end)} |")  # fmt: skip
    print(f"| places where something is lost and nothing is said | {silent} | "
          f"{sum(state != 'damaged' for _, _, _, state, _ in ours)} |")  # fmt: skip
    if statistics.mean(lost) <= ROWS - statistics.mean(in_a_line):
        faults.append("the database loses no more: the comparison shows nothing")
    print(*faults, f"{len(ours)} damaged records, {len(faults)} faults, "
          f"{time.monotonic() - since:.0f} s", sep="\n")  # fmt: skip
    return 1 if faults or not ours else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], *map(int, sys.argv[2:])))
