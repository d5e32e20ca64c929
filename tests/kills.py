#!/usr/bin/env python3
"""T7: the program is killed (kill -9) at random times while readings are typed into it; what it
acknowledged must be readable, and nothing that was not sent. The next run takes the session up.

    kills.py PROGRAM [SEED]     50 kills; 1,000 with FITLEDGER_NIGHTLY=1
"""

import pathlib, sys, tempfile, time

from typed_bench import NIGHTLY, Failed, Session, check, finish, records, seeded, value, verified

KILLS_OF_A_RECORD = 10


def seconds_to_first_answer(program):
    """So that kills fall before, at and after it, on whatever machine."""
    with tempfile.TemporaryDirectory() as scratch:
        folder, since = pathlib.Path(scratch), time.monotonic()
        session = Session(program, folder, folder)
        session.send([value(0)])
        session.answered(1)
        passed = time.monotonic() - since
        session.end()
        return passed


def one_record(program, random, kills, tally, start):
    """Kills on one record, each time taken up again, and its regular end."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        journal, readable = None, {}
        for kill in range(kills):
            session = Session(program, folder, folder, journal)
            end = time.monotonic() + random.random() * 4 * start
            while time.monotonic() < end:
                sent = len(session.sent)
                session.send([value(len(readable) + sent + at) for at in range(random.randrange(1, 6))])
                time.sleep(random.random() * 0.004)
            session.kill()
            paths = records(folder)
            acknowledged, readable = check(session, paths, readable)
            content = paths[-1].read_bytes() if paths else b""
            tally["acknowledged"] += acknowledged
            tally["sent"] += len(session.sent)
            tally["torn tails"] += bool(content) and not content.endswith(b"\n")
            tally["before the first reading"] += not readable
            # Killed before its first line: the next run begins anew.
            journal = paths[-1] if content else None
            if paths and not content:
                paths[-1].unlink()
        session = Session(program, folder, folder, journal)
        session.send([value(len(readable))])
        session.end()
        check(session, records(folder), readable)
        verified(program, records(folder)[-1], "sound")
        tally["readable"] += len(readable)


def main(program, *arguments):
    random, since = seeded(arguments), time.monotonic()
    start = seconds_to_first_answer(program)
    kills, done, failures = 1_000 if NIGHTLY else 50, 0, []
    tally = dict.fromkeys(
        ("sent", "acknowledged", "readable", "torn tails", "before the first reading"), 0
    )
    while done < kills:
        number = min(KILLS_OF_A_RECORD, kills - done)
        try:
            one_record(program, random, number, tally, start)
        except Failed as failure:
            failures.append(f"kills {done} to {done + number}: {failure}")
        done += number
    print(", ".join(f"{count} {name}" for name, count in tally.items()))
    if not tally["acknowledged"]:
        failures.append("nothing was acknowledged: every kill came too early")
    finish("T7 kills", done, failures, since)


main(str(pathlib.Path(sys.argv[1]).resolve()), *sys.argv[2:])
