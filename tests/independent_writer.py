#!/usr/bin/env python3
"""Makes tests/journals from the description of the form alone (sessions/FORMAT.md).

Each journal is written here, not by Fitledger, and each finding beside it (`.expected.json`)
follows from what is done to the journal here, not from what a reader said of it. Two readers are
held against them: Fitledger's, and tests/independent_reader.py. Run it to make them anew; the
result is the same every time:

    python3 tests/independent_writer.py tests/journals
"""

import hashlib
import json
import pathlib
import sys

GENESIS = "0" * 64
EVENTS = [
    ("session_opened", {"part": "Pump shaft", "operator": "J. Weiß", "decision": "probability"}),
    ("reading_received", {"gauge": "mic-25", "value": "25.012", "unit": "mm", "raw": "2b30303235"}),
    ("verdict_given", {"reading": 2, "verdict": "GO", "note": "quote \" backslash \\ tab \t"}),
    ("reading_received", {"gauge": "mic-25", "value": "25.031", "unit": "mm", "raw": "2b30303236"}),
    ("verdict_given", {"reading": 4, "verdict": "NO-GO", "side": "metal_on"}),
    ("session_closed", {"readings": 2, "nothing": None, "list": [1, -2.5, 1e3, True, {}]}),
]


def compact(value):
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def line(seq, kind, body, prev, version=1):
    """One line with its LF, and its hash."""
    body = body if isinstance(body, str) else compact(body)
    time = f"2026-11-24T22:{seq % 60:02}:03.125Z"
    covered = (
        f'{{"v":{version},"seq":{seq},"time":"{time}","mono":{seq * 1375},"kind":"{kind}",'
        f'"body":{body},"prev":"{prev}"'
    ).encode()
    own = hashlib.sha256(b"\0" + covered).hexdigest()
    return covered + f',"hash":"{own}"}}\n'.encode(), own


def chain(events, seq=0, prev=GENESIS):
    """Lines for these events, and all hashes, that of the beginning first."""
    lines, hashes = [], [prev]
    for number, (kind, body) in enumerate(events, seq + 1):
        made, own = line(number, kind, body, hashes[-1])
        lines.append(made)
        hashes.append(own)
    return lines, hashes


LINES, HASHES = chain(EVENTS)
STARTS = [sum(map(len, LINES[:index])) for index in range(len(LINES) + 1)]


class Maker:
    def __init__(self, folder):
        self.folder = folder

    def put(self, name, content, state, events, head, *findings):
        """`findings` are (kind, physical line), or (kind, line, offset, length)."""
        content = content if isinstance(content, bytes) else b"".join(content)
        pieces = content.split(b"\n")
        lengths = [len(piece) + 1 for piece in pieces[:-1]] + [len(pieces[-1])]
        listed = []
        for kind, number, *place in findings:
            offset, length = place or (sum(lengths[: number - 1]), lengths[number - 1])
            listed.append({"kind": kind, "line": number, "offset": offset, "length": length})
        report = {"state": state, "events": events, "head": head, "findings": listed}
        path = self.folder / f"{name}.jsonl"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        path.with_suffix(".expected.json").write_text(compact(report) + "\n")


def good(put):
    put("good/closed", LINES, "sound", 6, HASHES[6])
    put("good/not_closed", LINES[:4], "not_closed", 4, HASHES[4])
    put("good/empty", b"", "not_closed", 0, GENESIS)
    torn = LINES[2][:100]
    void = ("tail_damaged", {"bytes": 100, "offset": STARTS[2]})
    more, hashes = chain([void, *EVENTS[2:]], 2, HASHES[2])
    content = [*LINES[:2], torn, b"\n", *more]
    put("good/torn_tail_continued", content, "sound", 7, hashes[-1], ("torn_tail_continued", 3))
    more, hashes = chain([("tail_damaged", {"bytes": 0, "offset": STARTS[3] - 1})], 3, HASHES[3])
    put("good/line_end_continued", [*LINES[:3], *more], "not_closed", 4, hashes[-1])
    again = chain([void], 2, HASHES[2])[0][0][:60]
    void = ("tail_damaged", {"bytes": 161, "offset": STARTS[2]})
    more, hashes = chain([void, *EVENTS[2:]], 2, HASHES[2])
    finding = ("torn_tail_continued", 3, STARTS[2], 162)
    content = [*LINES[:2], torn, b"\n", again, b"\n", *more]
    put("good/torn_twice_continued", content, "sound", 7, hashes[-1], finding)
    origin = {"file": "not_closed.jsonl", "seq": 4, "hash": HASHES[4]}
    more, hashes = chain([("continuation_opened", origin), *EVENTS[4:]], 4, HASHES[4])
    put("good/continuation", more, "sound", 3, hashes[-1])


def torn(put):
    put("torn/in_a_body", [*LINES[:4], LINES[4][:120]], "torn_tail", 4, HASHES[4], ("torn_tail", 5))
    content = b"".join(LINES[:4])[:-1]
    put("torn/before_the_line_end", content, "torn_tail", 4, HASHES[4], ("line_end_missing", 4))
    put("torn/in_the_first_line", LINES[0][:50], "torn_tail", 0, GENESIS, ("torn_tail", 1))
    void, _ = chain([("tail_damaged", {"bytes": 100, "offset": STARTS[2]})], 2, HASHES[2])
    content, head = [*LINES[:2], LINES[2][:100], b"\n", void[0][:-1]], json.loads(void[0])["hash"]
    findings = ("torn_tail_continued", 3), ("line_end_missing", 4)
    put("torn/again_while_continued", content, "torn_tail", 3, head, *findings)
    content = [*LINES[:2], LINES[2][:100], b"\n", void[0][:60]]
    put("torn/twice", content, "torn_tail", 2, HASHES[2], ("torn_tail", 3, STARTS[2], 161))
    content = [*content[:-1], void[0][:40], b"\n", void[0][:16]]
    put("torn/thrice", content, "torn_tail", 2, HASHES[2], ("torn_tail", 3, STARTS[2], 158))
    content = [*LINES[:2], bytes(300)]
    put("torn/never_written_zeros", content, "torn_tail", 2, HASHES[2], ("torn_tail", 3))


def tampered(put):
    def damaged(name, content, events, *findings, head=HASHES[6]):
        put(f"tampered/{name}", content, "damaged", events, head, *findings)

    a, b, c, d, e, f = LINES
    value = b.replace(b"25.012", b"25.013")
    damaged("value_changed", [a, value, c, d, e, f], 5, ("altered", 2))
    content = [a, b, c, d, e, f.replace(b"2", b"3", 1)]
    damaged("last_line_changed", content, 5, ("altered", 6), head=HASHES[5])
    damaged("line_dropped", [a, b, d, e, f], 5, ("missing", 3))
    damaged("first_line_dropped", [b, c, d, e, f], 5, ("missing", 1))
    damaged("line_doubled", [a, b, b, c, d, e, f], 7, ("duplicate", 3))
    damaged("lines_swapped", [a, c, b, d, e, f], 6, ("missing", 2), ("out_of_order", 3))
    forged, _ = line(2, EVENTS[1][0], {"gauge": "mic-25", "value": "25.000"}, HASHES[1])
    damaged("line_forged", [a, forged, c, d, e, f], 6, ("chain_broken", 3))
    damaged("line_ends_joined", [a, b[:-1] + b" ", c, d, e, f], 4, ("altered", 2))
    content = b"".join(LINES).replace(b"\n", b"\r\n")
    damaged("line_ends_crlf", content, 6, ("line_ends_converted", 1))
    content = b"".join(LINES).replace(b"\n", b"\r")
    damaged("line_ends_cr", content, 0, ("line_ends_converted", 1), head=GENESIS)
    damaged("byte_order_mark", [b"\xef\xbb\xbf", *LINES], 6, ("byte_order_mark", 1, 0, 3))
    damaged("blank_line", [a, b"\n", b, c, d, e, f], 6, ("blank_line", 2))
    damaged("zeros", [a, bytes(len(b) - 1) + b"\n", c, d, e, f], 5, ("zeros", 2))
    damaged("blanks_added", [a, b.replace(b":", b": ", 1), c, d, e, f], 5, ("not_a_line", 2))
    damaged("hash_in_capitals", [a, b[:-3].upper() + b[-3:], c, d, e, f], 5, ("not_a_line", 2))
    newer, _ = line(2, "unheard_of", {}, HASHES[1], version=2)
    damaged("newer_version", [a, newer, c, d, e, f], 5, ("newer_version", 2))
    more, hashes = chain([("reading_received", {"value": "25.000"})], 6, HASHES[6])
    damaged("after_close", [*LINES, *more], 7, ("after_close", 7), head=hashes[-1])
    for name, body in [
        ("body_not_json", '{"a":}'),
        ("body_with_blanks", '{"a": 1}'),
        ("body_ends_early", '{},"x":{}'),
    ]:
        more, hashes = chain([(EVENTS[1][0], body), *EVENTS[2:]], 1, HASHES[1])
        damaged(name, [a, *more], 6, ("bad_body", 2), head=hashes[-1])
    more, hashes = chain([("tail_damaged", {"bytes": 99, "offset": STARTS[2]})], 2, HASHES[2])
    content = [a, b, c[:100], b"\n", *more]
    damaged("tail_told_wrong", content, 3, ("not_a_line", 3), ("bad_link", 4), head=hashes[-1])
    other = b"\n".join([c[:100], more[0][:60], b""])
    more, hashes = chain([("tail_damaged", {"bytes": 60, "offset": STARTS[2] + 101})], 2, HASHES[2])
    findings = ("not_a_line", 3), ("not_a_line", 4), ("bad_link", 5)
    damaged("second_tail_told_alone", [a, b, other, *more], 3, *findings, head=hashes[-1])
    # Line 3 counted once: what follows it carries number 4.
    changed = c.replace(b"GO", b"NO")
    findings = ("altered", 3), ("torn_tail", 4)
    damaged("before_a_torn_line", [a, b, changed, d[:60]], 2, *findings, head=HASHES[2])
    findings = ("not_a_line", 3), ("torn_tail", 4)
    damaged("torn_again_too_soon", [a, b, c[:100], b"\n", c[:14]], 2, *findings, head=HASHES[2])
    damaged("torn_and_ended", [a, b, c[:100], b"\n"], 2, ("not_a_line", 3), head=HASHES[2])
    damaged("overlong_line", [a, b"x" * 70_000 + b"\n", b, c, d, e, f], 6, ("too_long", 2))


if __name__ == "__main__":
    maker = Maker(pathlib.Path(sys.argv[1]))
    for group in (good, torn, tampered):
        group(maker.put)
