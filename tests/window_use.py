"""Whole batches in the real window with nothing but the gauge's button, the keypad, a foot switch:
keys from xdotool, bytes on a pseudo-terminal, no pointer. Used by window_under_xvfb.py."""

import json, subprocess, threading, time

from virtual_bench import FILLS, Bench, check

PLAN = """\
[part]
name = "Pump shaft"
[[feature]]
id = "A"
callout = "20 k6"
points = 2
gauge = ["mic-25"]
[[feature]]
id = "B"
callout = "15 h6"
points = 2
gauge = ["mic-25"]
"""
# Plain lines of a gauge that never stops sending.
LIVE = """\
line = { baud = 9600, data_bits = 8, parity = "none", stop_bits = 1 }
trigger = { kind = "stream" }
frame = { kind = "terminated", terminator = "cr", max_bytes = 24 }
fields = { kind = "pattern", pattern = '^(?P<num>[0-9]+[.][0-9]+)$' }
number = { decimal = "point", decimals = 3 }
unit = { rule = "fixed", value = "mm" }
"""


def opened(program, screen, folder, name, gauge, *more):
    """A bench of its own, with three parts to be measured."""
    bench = Bench(program, screen, folder / name, PLAN)
    (bench.workspace / "adapters").mkdir(exist_ok=True)
    (bench.workspace / "adapters" / "live.toml").write_text(LIVE)
    source = "typed" if gauge is None else f"serial:{bench.gauge.path}@{gauge}"
    plan = str(bench.folder / "plan.toml")
    bench.open(["window", "--plan", plan, "--parts", "3", "--gauge", f"mic-25={source}", *more])
    bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
    # The pointer stands in a corner from here on, and nothing moves it.
    bench.corner = bench.screen.xdotool("getmouselocation").split()[:2]
    return bench


def ended(bench, words, name):
    """Three parts came to that; the record is sound, and every verdict comes out again."""
    bench.still()
    bench.picture(name)
    now = bench.screen.xdotool("getmouselocation").split()[:2]
    check(now == bench.corner, f"the pointer moved from {bench.corner} to {now}")
    if bench.process.poll() is None:
        bench.check_closes()
    bench.check_sound()
    last = {}
    for event in bench.events("verdict_given"):
        place = event["body"]["place"]
        last[place["part"], place["feature"]] = event["body"]["verdict"]
    found = [[last.get((part, feature)) for feature in "AB"] for part in (1, 2, 3)]
    check(found == words, f"{name}: {found}")
    journal = str(bench.journals.paths()[-1])
    command = [bench.program, "--workspace", str(bench.workspace), "verify", "--json", journal]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    state = json.loads(done.stdout.splitlines()[0])["state"]
    check(done.returncode == 0 and state in ("sound", "not_closed"), f"verify: {done.stdout}")
    count = len(bench.events("reading_received"))
    print(f"  {name}: {count} readings, {found}, verify says {state}")


GOOD, BAD = ["GO", "GO"], ["NO-GO", "GO"]


def button_batch(program, screen, folder):
    """Batches with the gauge's button alone: a slip of the unit, and a part that is lost, sorted; then
    one with a part that is cut again."""
    button_sorted(program, screen, folder)
    bench = opened(program, screen, folder, "rework", "line-free", "--advance", "rework")
    try:
        bench.more("gauge_state_changed", [])
        button_rework(bench)
        # Metal is gone at A: nobody waits for a cut at B.
        for value in ("19.990", "20.008", "15.030", "14.995"):
            check(bench.answer(value)["place"]["part"] == 2, bench.events()[-1])
        for value in ("20.008", "20.009", "14.995", "14.996"):
            check(bench.answer(value)["place"]["part"] == 3, bench.events()[-1])
        check(not bench.events("cutting_switched"), "a key was pressed")
        after_the_last_part(bench)
        ended(bench, [GOOD, ["NO-GO", "NO-GO"], GOOD], "button-rework-batch")
    finally:
        bench.end()


def after_the_last_part(bench):
    """A further press is set aside and told; after the end it is NOT RECORDED, for all to see."""
    before = bench.events("reading_set_aside")
    bench.changes(lambda: bench.gauge.show("14.997"), "one press more")
    bench.more("reading_set_aside", before)
    bench.picture("button-one-more")
    bench.keys("Return", "Return")
    bench.changes(lambda: bench.keys("plus"), "closing")
    bench.more("session_closed", [])
    lines = len(bench.events())
    alarm = lambda: sum(bench.picture("button-closed").share(fill) for fill in FILLS["NO-GO"])
    quiet = alarm()
    bench.changes(lambda: bench.gauge.show("14.998"), "a press after the end")
    check(alarm() > quiet + 0.1, f"NOT RECORDED covers {alarm():.1%}, before {quiet:.1%}")
    check(len(bench.events()) == lines, "the closed record grew")
    # Left only after it was said that this is lost.
    bench.changes(lambda: bench.keys("Return"), "leaving")
    bench.changes(lambda: bench.keys("minus"), "left")


def button_sorted(program, screen, folder):
    """Every reading moves on."""
    bench = opened(program, screen, folder, "button", "line-free", "--advance", "always")
    try:
        bench.more("gauge_state_changed", [])
        for value in ("20.008", "20.009", "14.995", "14.996"):
            bench.answer(value)
        before = bench.events("reading_held")
        bench.changes(lambda: bench.gauge.show("0.7877"), "the slip")
        bench.more("reading_held", before)
        bench.picture("button-held")
        for value in ("20.007", "19.990", "14.994", "14.995"):
            bench.answer(value)
        check(len(bench.events("reading_set_aside")) == 1, "the slip was not set aside")
        for value in ("20.010", "20.008", "14.996", "14.994"):
            bench.answer(value)
        ended(bench, [GOOD, BAD, GOOD], "button-batch")
    finally:
        bench.end()


def button_rework(bench):
    """One part is cut again: what to do is said, a slip after the cut is held and measured again."""
    for value in ("20.008", "20.009"):
        bench.answer(value)
    on = bench.answer("15.030")
    check((on["verdict"], on["side"]) == ("NO-GO", "metal_on"), on)
    bench.picture("button-rework")
    held = bench.events("reading_held")
    bench.changes(lambda: bench.gauge.show("15.120"), "the slip after the cut")
    cause = bench.more("reading_held", held)["body"]["cause"]
    check(cause == "metal_grown", f"held for {cause}")
    bench.picture("button-rework-held")
    again = bench.answer("14.995")
    place = again["place"]
    check((place["part"], place["feature"], place["point"]) == (1, "B", 1), place)
    check((again["verdict"], again["from"]) == ("INSIDE", [again["reading"]]), again)
    check(bench.answer("14.996")["verdict"] == "GO", bench.events()[-1])


def keypad(text):
    """The keys of a keypad that type it."""
    names = {".": "KP_Decimal", "+": "KP_Add", "-": "KP_Subtract", "*": "KP_Multiply"}
    names |= {"/": "KP_Divide", "!": "KP_Enter", "<": "BackSpace"}
    return [names.get(key, f"KP_{key}") for key in text]


def keypad_batch(program, screen, folder):
    """A batch with the keypad alone: cut again, a slip of the finger, void, and closed for good."""
    bench = opened(program, screen, folder, "keypad", None)

    def does(text, kind):
        before = bench.events(kind)
        bench.keys(*keypad(text), delay_ms=60)
        bench.more(kind, before)

    try:
        does(".1", "cutting_switched")
        does("20.300!", "cutting_noted")
        bench.picture("keypad-cutting")
        does(".1", "cutting_switched")
        for text in ("20.008!", "20.009!", "14.995!", "14.996!"):
            does(text, "verdict_given")
        does("/", "part_started")
        does("200.08!", "reading_held")
        bench.still()
        bench.picture("keypad-held")
        does("-", "reading_set_aside")
        for text in ("20.006!", "20.008!", "14.994!"):
            does(text, "verdict_given")
        does("<4", "reading_voided")
        for text in ("14.995!", "14.996!", "!!20.008!", "20.010!", "14.995!", "14.996!"):
            does(text, "verdict_given")
        bench.keys(*keypad("!!"), delay_ms=60)
        bench.still()
        bench.picture("keypad-close")
        does("+", "session_closed")
        ended(bench, [GOOD, GOOD, GOOD], "keypad-batch")
    finally:
        bench.end()


class Streaming:
    """A gauge that sends what it shows all the time."""

    def __init__(self, gauge):
        self.gauge, self.value, self.goes_on = gauge, "20.000", True
        self.thread = threading.Thread(target=self.run, daemon=True)
        self.thread.start()

    def run(self):
        while self.goes_on:
            self.gauge.send(f"{self.value}\r".encode())
            time.sleep(0.02)

    def end(self):
        self.goes_on = False
        self.thread.join(10)


def pedal_batch(program, screen, folder):
    """A batch with a foot switch alone, which sends Enter; the gauge streams all the time."""
    bench = opened(program, screen, folder, "pedal", "live", "--advance", "always")
    live = None
    try:
        bench.more("gauge_state_changed", [])
        live = Streaming(bench.gauge)

        def steps(kind=None):
            before = bench.events(kind) if kind else None
            bench.keys("Return")
            if kind:
                bench.more(kind, before)

        def shows(value):
            live.value = value
            time.sleep(0.25)

        def measured(*values):
            for value in values:
                shows(value)
                steps("verdict_given")
                # Away from the answer.
                steps()

        measured("20.008", "20.009", "14.995", "14.996")
        steps("part_started")
        measured("20.007")
        shows("200.080")
        steps("reading_held")
        bench.picture("pedal-held")
        shows("19.990")
        steps("verdict_given")
        check(len(bench.events("reading_set_aside")) == 1, "the slip was not set aside")
        steps()
        measured("14.994", "14.995")
        steps("part_started")
        measured("20.010", "20.008", "14.996", "14.994")
        readings = bench.events("reading_received")
        check(len(readings) == 13, f"{len(readings)} readings: streaming records nothing itself")
        live.end()
        ended(bench, [GOOD, BAD, GOOD], "pedal-batch")
    finally:
        if live:
            live.end()
        bench.end()
