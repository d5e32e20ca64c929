"""A tapped hole and a turned thread in the real window: sizes come by the wire, the answers of
plug and mating screw by the keys. Used by window_under_xvfb.py."""

import json, subprocess, time

from virtual_bench import Bench, check, check_plate

PLAN = """\
[part]
name = "Pump housing"
drawing = "GP-02"
[[feature]]
id = "A"
callout = "M10-6H"
name = "port thread"
along = [0, 16]
elements = ["minor", "go_plug", "no_go_plug", "mate"]
[[feature]]
id = "B"
callout = "M16x1.5-6g"
name = "gland thread"
along = [16, 40]
wire = 0.895
elements = ["wires", "go_ring", "no_go_ring"]
"""
# So long a key is held down that the keyboard repeats it (X begins after 0.5 s or less).
HELD_SECONDS = 1.5


def threads(program, screen, folder):
    """Sizes by the wire, attribute questions by two keys; a key held down answers only once."""
    bench = Bench(program, screen, folder, plan=PLAN)
    try:
        bench.open()
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        minor = bench.answer("8.520")
        check(minor["place"]["element"] == "minor", minor)
        check(minor["verdict"] == "GO", minor)
        bench.picture("thread-go-plug")
        # The key goes down and stays there: the repeats must not answer the next question, where
        # the same key says that the NO-GO plug goes in.
        goes = pressed(bench, "KP_Add", held=True)
        check((goes["place"]["element"], goes["verdict"]) == ("go_plug", "GO"), goes)
        check(checked(bench, goes) == {"end": "go", "outcome": "goes"}, checked(bench, goes))
        check_plate(bench, "GO", "thread-go-plug-goes")
        stops = pressed(bench, "KP_Subtract")
        check((stops["place"]["element"], stops["verdict"]) == ("no_go_plug", "GO"), stops)
        outcome = {"end": "no_go", "outcome": "turns_two_or_fewer"}
        check(checked(bench, stops) == outcome, checked(bench, stops))
        bench.picture("thread-mate")
        felt = pressed(bench, "KP_Add")
        check((felt["place"]["element"], felt["verdict"]) == ("mate", "NOTED"), felt)
        bench.picture("thread-wires")
        turned(bench)
        bench.check_closes()
        bench.check_sound()
        verified(bench, program)
    finally:
        bench.end()


def turned(bench):
    """Over wires, then the rings; the NO-GO ring goes on, so the thread is too thin."""
    # d2 of M16x1.5-6g lies from 14.854 to 14.994; with 0.895 mm wires 14.924 is read as 16.310:
    # 14.924 + 3 x 0.895 - 0.866025 x 1.5, and half a micrometre for the lead.
    over = bench.answer("16.310")
    check((over["place"]["element"], over["verdict"]) == ("wires", "GO"), over)
    check(abs(float(over["value_at_20"]) - 14.924) < 0.002, over)
    bench.picture("thread-wires-go")
    check(pressed(bench, "KP_Add")["verdict"] == "GO", bench.events()[-1])
    more = pressed(bench, "KP_Add")
    check((more["place"]["element"], more["verdict"]) == ("no_go_ring", "NO-GO"), more)
    check(more["side"] == "metal_gone", more)
    check_plate(bench, "NO-GO", "thread-no-go-ring")


def pressed(bench, key, held=False):
    """Presses the key of an answer, and waits for its one verdict; no second one may follow."""
    before = bench.events("verdict_given")
    if held:
        bench.screen.xdotool("keydown", key)
        time.sleep(HELD_SECONDS)
        bench.screen.xdotool("keyup", key)
    else:
        bench.keys(key)
    body = bench.more("verdict_given", before)["body"]
    bench.shown(body["reading"])
    given = len(bench.events("verdict_given")) - len(before)
    check(given == 1, f"{key} gave {given} verdicts")
    return body


def checked(bench, verdict):
    """What was seen, of the reading under a verdict; it must have come by the keys."""
    readings = bench.events("reading_received")
    body = next(one["body"] for one in readings if one["seq"] == verdict["reading"])
    check(body["origin"] == "typed" and "value" not in body, body)
    return body["check"]


def verified(bench, program):
    """The program itself derives every verdict again."""
    for path in bench.journals.paths():
        command = [program, "verify", "--json", str(path)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=120)
        found = json.loads(done.stdout.splitlines()[0])
        # Closing the window leaves a session that goes on later.
        fine = done.returncode == 0 and found["state"] == "not_closed"
        check(fine, done.stdout + done.stderr)
        check(not found["findings"], found)
    print(f"  {len(bench.events('verdict_given'))} verdicts, derived again")
