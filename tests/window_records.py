"""The Records room in the real window: a session is found, opened, reported and decided about while
it runs; a damaged record is told and checked. Used by window_under_xvfb.py."""

import json, os

from virtual_bench import Bench, check


def records(program, screen, folder):
    """Find, open, report, decide, and a damaged record with its check; by keys alone."""
    bench = Bench(program, screen, folder)
    reports = bench.workspace / "reports"
    try:
        bench.open()
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        check(bench.answer("20.008")["verdict"] == "GO", bench.events()[-1])
        bench.changes(lambda: bench.keys("F5"), "F5")
        bench.picture("records-list")
        bench.changes(lambda: bench.keys("g", "p", "minus", "0", "7"), "finding")
        bench.picture("records-found")
        bench.changes(lambda: bench.keys("Return"), "the session")
        bench.picture("records-part")
        reported(bench, reports)
        decided(bench)
        # A reading is taken while the records are seen, and the Bench goes on.
        before = bench.events("verdict_given")
        bench.gauge.show("14.996")
        bench.more("verdict_given", before)
        bench.changes(lambda: bench.keys("F1"), "F1")
        bench.answer("14.995")
        bench.check_sound()
        bench.check_closes()
        bench.check_sound()
        damaged(bench)
    finally:
        bench.end()


def reported(bench, reports):
    """PDF twice: the second beside the first, which stays as it was."""
    bench.keys("p")
    first = bench.alive_until(lambda: sorted(reports.glob("*.pdf")), "a report", 30)[0]
    whole = lambda: first.read_bytes().rstrip().endswith(b"%%EOF")
    bench.alive_until(whole, "a whole report")
    bench.still()
    bench.picture("records-reported")
    kept = first.read_bytes()
    bench.keys("p")
    bench.alive_until(lambda: len(list(reports.glob("*.pdf"))) == 2, "a second report", 30)
    check(first.read_bytes() == kept, "a report was replaced")
    bench.keys("j")
    made = bench.alive_until(lambda: list(reports.glob("*.json")), "JSON", 30)[0]
    bench.alive_until(lambda: made.read_bytes().endswith(b"}"), "whole JSON")
    check("20.008" in json.dumps(json.loads(made.read_text())), made)
    print(f"  reports: {sorted(path.name for path in reports.iterdir())}")


def decided(bench):
    """A hold with reason and name; a release that is refused because of it."""
    before = bench.events("disposition_given")
    bench.changes(lambda: bench.keys("d", "3"), "a hold")
    bench.changes(lambda: bench.keys("l", "a", "t", "e", "Return"), "its reason")
    bench.keys("A", "d", "a", "Return")
    given = bench.more("disposition_given", before)["body"]
    check((given["reason"], given["by"]) == ("late", "Ada"), given)
    bench.still()
    bench.picture("records-held")
    signed = len(bench.events("signed_off"))
    bench.changes(lambda: bench.keys("s", "3", "Return"), "a release")
    bench.picture("records-refused")
    check(len(bench.events("signed_off")) == signed, "released though it is on hold")
    bench.changes(lambda: bench.keys("Escape"), "Escape")


def damaged(bench):
    """One bit is turned: the list says where, the rest can be read, and the check fails."""
    path = bench.journals.paths()[-1]
    data = bytearray(path.read_bytes())
    at = data.index(b'"kind":"verdict_given"')
    data[at + 40] ^= 1
    os.chmod(path, 0o600)
    path.write_bytes(data)
    bench.open(["window"])
    bench.changes(lambda: bench.keys("F5"), "F5")
    bench.still()
    bench.picture("records-damaged")
    bench.changes(lambda: bench.keys("Return"), "the session")
    bench.still()
    bench.picture("records-damaged-part")
    bench.changes(lambda: bench.keys("v"), "the check")
    bench.still()
    bench.picture("records-checked")
    check(path.read_bytes() == bytes(data), "looking changed the record")
