"""The Gauges room in the real window: bytes of a gauge beside what they are read as, and its zero
checked with the keypad alone. Used by window_under_xvfb.py."""

from virtual_bench import Bench, check

REGISTER = """\
[[gauge]]
id = "mic-25"
kind = "outside_micrometer"
range = [0, 25]
resolution = 0.001
mpe = 0.002
repeatability = 0.0005
zero_check = {{ every_hours = 8, bound = 0.002 }}
[[gauge]]
id = "bore-20"
kind = "bore_gauge"
range = [-0.5, 0.5]
resolution = 0.001
calibration = {{ U = 0.0012, k = 2 }}
reads = "deviation"
set_on = "ring-20"
[[gauge]]
id = "ring-20"
kind = "setting_ring"
range = 20.000
"""


def gauges(program, screen, folder):
    """Bytes arrive and are seen; a zero check is asked for, taken and failed with a keypad."""
    bench = Bench(program, screen, folder)
    (bench.workspace / "gauges.toml").write_text(REGISTER.format())
    try:
        bench.open()
        bench.alive_until(lambda: bench.events("session_opened"), "session in the journal")
        bench.answer("20.008")
        # Into the room by the keypad: the list of the Bench, where to.
        bench.keys("KP_Enter")
        bench.changes(lambda: bench.keys("KP_Decimal"), "the list")
        bench.changes(lambda: bench.keys("0", "6"), "the Gauges room")
        bench.picture("gauges-register")
        bench.changes(lambda: bench.keys("KP_2"), "the wire")
        before = bench.digest()
        bench.gauge.send(b"what?\r\n14.995\r\n")
        bench.alive_until(lambda: bench.digest() != before, "bytes on the screen")
        bench.still()
        bench.picture("gauges-live")
        bench.changes(lambda: bench.keys("KP_3"), "what it proves")
        bench.picture("gauges-proves")
        zero_checked(bench)
        # Back at the Bench the session goes on, with the offset taken off.
        bench.changes(lambda: bench.keys("KP_Decimal"), "the Bench")
        bench.answer("14.996")
        bench.changes(lambda: bench.keys("F6"), "F6")
        bench.changes(lambda: bench.keys("F1"), "F1")
        bench.check_closes()
        bench.check_sound()
    finally:
        bench.end()


def zero_checked(bench):
    """A good check by the wire, then one that fails, typed."""
    bench.changes(lambda: bench.keys("KP_5"), "the zero")
    asked = bench.events("zero_check_asked")
    bench.keys("KP_Enter")
    bench.more("zero_check_asked", asked)
    bench.still()
    bench.picture("gauges-zero-asked")
    done = bench.events("zero_checked")
    bench.gauge.show("0.001")
    good = bench.more("zero_checked", done)["body"]
    check(good["good"] is True, good)
    bench.still()
    bench.picture("gauges-zero-good")
    asked, done = bench.events("zero_check_asked"), bench.events("zero_checked")
    bench.keys("KP_Enter")
    bench.more("zero_check_asked", asked)
    bench.still()
    # xdotool makes the digits of a keypad with Shift, lets go of another key than it pressed, and
    # the digit stays down: what was one of the pages above is not typed here.
    bench.changes(lambda: bench.keys("0", "period", "0", "4"), "typing")
    bench.picture("gauges-zero-typed")
    bench.keys("KP_Enter")
    bad = bench.more("zero_checked", done)["body"]
    check(bad["good"] is False, (bad, bench.events("reading_received")[-1]["body"]))
    bench.still()
    bench.picture("gauges-zero-failed")
    print(f"  zero checks: {good['offset']} good, {bad['offset']} failed")
