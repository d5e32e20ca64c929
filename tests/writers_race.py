#!/usr/bin/env python3
"""T10: two programs want the same record. One gets it, the other is refused and told who holds it;
lines are never interleaved. A holder that is killed leaves no lock. A copy made meanwhile is a
record of its own: readable, and the beginning of the original.

    writers_race.py PROGRAM [SEED]     20 races; 100 with FITLEDGER_NIGHTLY=1
"""

import pathlib, shutil, sys, tempfile, time

from typed_bench import NIGHTLY, Failed, Session, check, demand, finish, readings, records, seeded
from typed_bench import value, verified


def race(program, folder, journal, random, earlier):
    """Two start at once; who ends first by itself was refused."""
    first = Session(program, folder, folder, journal)
    time.sleep(random.random() * 0.02)
    both = [first, Session(program, folder, folder, journal)]
    if random.random() < 0.5:
        both.reverse()
    since = time.monotonic()
    while all(one.process.poll() is None for one in both):
        demand(time.monotonic() - since < 60, "both programs hold the record")
        time.sleep(0.002)
    refused, winner = sorted(both, key=lambda one: one.process.poll() is None)
    refused.ended()
    said = [one["error"] for one in refused.errors]
    codes = [error["code"] for error in said]
    demand(codes in (["journal_locked"], ["journal_changed"]), f"refused with {said}")
    if codes == ["journal_locked"]:
        who = f"process {winner.process.pid} "
        demand(who in said[0]["message"], f"not told that {who}holds it: {said[0]['message']}")
    winner.send([value(len(earlier))])
    winner.answered(1)
    copy = folder / "copy.jsonl"
    shutil.copy(journal, copy)
    winner.kill()
    _, earlier = check(winner, [journal], earlier)
    content = journal.read_bytes()
    demand(content.startswith(copy.read_bytes()), "the copy is not the beginning of the original")
    demand(readings([copy]).items() <= earlier.items(), "the copy holds other readings")
    copy.unlink()
    return earlier, codes[0]


def main(program, *arguments):
    random, since = seeded(arguments), time.monotonic()
    races, failures, tally, done = 100 if NIGHTLY else 20, [], {}, 0
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        session = Session(program, folder, folder)
        session.send([value(0)])
        session.answered(1)
        session.kill()
        journal = records(folder)[0]
        earlier = readings([journal])
        try:
            while done < races:
                earlier, code = race(program, folder, journal, random, earlier)
                tally[code] = tally.get(code, 0) + 1
                done += 1
            session = Session(program, folder, folder, journal)
            session.end()
            demand(len(records(folder)) == 1, "there is a second record")
            verified(program, journal, "sound")
        except Failed as failure:
            failures.append(f"race {done + 1}: {failure}")
    print(f"{tally}, {len(earlier)} readings in one record")
    finish("T10 races", done, failures, since)


main(str(pathlib.Path(sys.argv[1]).resolve()), *sys.argv[2:])
