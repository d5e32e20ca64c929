#!/usr/bin/env python3
"""Checks Fitledger records from the description of their form alone (sessions/FORMAT.md), with
nothing but Python's standard library (3.8 or later). It shares no code with Fitledger.

    independent_reader.py FILE...   one JSON object a session, FILE being its newest file; the files
                                    before it lie beside it; exit 1 when one is not right
"""
import datetime, hashlib, itertools, json, pathlib, re, sys, types

LONGEST_LINE, LARGEST_WHOLE, BEGINNING = 65_536, 2**53 - 1, (0, "0" * 64)
FORM = re.compile(
    rb'\{"v":1,"seq":([1-9]\d{0,15}),"time":"(\d{4}-\d\d-\d\dT[\d:]{8}\.\d{3}Z)",'
    rb'"mono":(0|[1-9]\d{0,15}),"kind":"([a-z][a-z0-9_]{0,63})","body":(\{[^\x00-\x1f]*\}),'
    rb'"prev":"([0-9a-f]{64})","hash":"([0-9a-f]{64})"\}'
)
NEWER = re.compile(rb'\{"v":(0|[1-9][0-9]{0,15})(?![0-9]).*,"hash":"([0-9a-f]{64})"\}', re.DOTALL)
HARMLESS = ("torn_tail", "line_end_missing", "torn_tail_continued", "not_acknowledged")
STRING = re.compile(r'"(?:[^"\\\x00-\x1f]|\\(?!u[dD][89a-fA-F]).)*"')
ORIGIN = re.compile(r'\{"file":("(?:[^"\\]|\\.)*"),"seq":(0|[1-9]\d*),"hash":"([0-9a-f]{64})"\}')


def hash_of(raw):
    """SHA-256 of one zero byte and everything before `,"hash"`."""
    return hashlib.sha256(b"\0" + raw[: raw.rindex(b',"hash"')]).hexdigest()


def object_of(text):
    """The JSON object of a body without blanks; None if it is none."""
    rest = STRING.sub("", text)
    steps = ((mark in "{[") - (mark in "}]") for mark in rest)
    try:
        found = json.loads(text, parse_constant=int)  # NaN and the like are no JSON
    except (ValueError, RecursionError):
        return None
    return None if re.search(r'[\s"]', rest) or max(itertools.accumulate(steps)) > 32 else found


def line_of(raw):
    """A line that checks itself, or the name of what it is instead."""
    if raw in (b"", b"\r") or not raw.strip(b"\0"):
        return "zeros" if raw.strip(b"\r") else "blank_line"
    if len(raw) >= LONGEST_LINE:
        return "too_long"
    newer, match = NEWER.fullmatch(raw), FORM.fullmatch(raw)
    try:
        raw.decode()
        if newer and 1 != int(newer[1]) <= LARGEST_WHOLE and hash_of(raw) == newer[2].decode():
            return "newer_version"
        seq, time, mono, kind, text, prev, own = (part.decode() for part in match.groups())
        datetime.datetime.strptime(time, "%Y-%m-%dT%H:%M:%S.%fZ")
    except (ValueError, AttributeError):  # not UTF-8, no such time, not of the form
        return "not_a_line"
    if max(int(seq), int(mono)) > LARGEST_WHOLE or hash_of(raw) != own:
        return "altered" if max(int(seq), int(mono)) <= LARGEST_WHOLE else "not_a_line"
    found = kind == "continuation_opened" and ORIGIN.fullmatch(text)
    origin = (json.loads(found[1]), (int(found[2]), found[3])) if found else None
    more = {"seq": int(seq), "link": (int(seq), own), "origin": origin, "body": object_of(text)}
    return types.SimpleNamespace(kind=kind, prev=prev, **more)


def check(content, until=None, last=BEGINNING):
    """The report on one file. `until`: its last line that counts, if continued; `last`: before."""
    findings, events, head, offset, seen = [], 0, None, 0, until in (None, BEGINNING)
    closed = torn = converted = surplus = False
    pieces, place = [], {"line": 0, "offset": 0, "length": 0}

    def find(kind, **other):
        return findings.append({**place, "kind": kind, **other}) or findings[-1]

    for number, raw in enumerate(re.findall(rb"[^\n]*\n|[^\n]+", content), 1):
        void, place = max(0, offset - 1), {"line": number, "offset": offset, "length": len(raw)}
        offset, finished = offset + len(raw), raw.endswith(b"\n")
        mark = number == 1 and raw.startswith(b"\xef\xbb\xbf")
        text, damaged = raw[3 * mark :].rstrip(b"\n")[: LONGEST_LINE + 1], pieces
        line, bare = line_of(text), line_of(text[:-1]) if raw.endswith(b"\r\n") else ""
        foreign = isinstance(line, str) and not isinstance(bare, str)
        line = bare if foreign else line
        torn_piece = isinstance(line, str) and not finished and b"}\r{" not in text
        if torn_piece and damaged and text.startswith(b'{"v":1,"seq":%d,' % ((head or BEGINNING)[0] + 1)):
            findings[-len(damaged) :], pieces, place = [], [], damaged[0]  # torn again: all one tail
            place["length"] = offset - place["offset"]
        counts = not (until and (seen and torn_piece or getattr(line, "seq", 0) > until[0]))
        if isinstance(line, str) and counts:
            kind = "line_ends_converted" if b"}\r{" in text else "torn_tail" if torn_piece else line
            pieces, torn = pieces + [find(kind)], torn or torn_piece
            continue
        if not torn_piece:
            head, pieces, fault = head or (line.origin or (0, BEGINNING))[1], [], None
            if line.seq <= head[0]:
                fault = "duplicate" if line.link == head else "out_of_order"
            elif (line.seq, line.prev) != (head[0] + 1, head[1]):
                fault = "missing" if line.seq > head[0] + 1 else "chain_broken"
            head = line.link if line.seq > head[0] else head
            told = line.kind == "tail_damaged" and line.body == {"bytes": 0, "offset": void}
            if line.kind == "tail_damaged" and damaged:
                start = damaged[0]["offset"]
                told = line.body == {"bytes": void - start, "offset": start} and not fault
                one = {**damaged[0], "kind": "torn_tail_continued", "length": void + 1 - start}
                findings[-len(damaged) :] = [one] if told else damaged
        if not counts:
            seen = seen or bool(find("link_absent"))  # the last line that counts is damaged
            surplus = surplus or find("not_acknowledged")
            surplus["length"] = offset - surplus["offset"]
            continue
        first = events == 0 and line.origin and line.origin[1] == (line.seq - 1, line.prev)
        signed = line.body if line.kind == "signed_off" and line.body else {}
        for kind, found, *other in (
            ("byte_order_mark", mark, ("length", 3)),
            ("line_ends_converted", foreign and not converted),
            ("line_end_missing", not finished),
            ("bad_body", line.body is None),
            ("after_close", closed),
            (fault, fault and not (fault == "missing" and damaged)),
            ("bad_link", line.kind == "tail_damaged" and not told),
            ("bad_link", line.kind == "continuation_opened" and not first),
            ("signature_misplaced", signed and (signed["covers"], signed["hash"]) != last),
        ):
            _ = found and find(kind, **dict(other))
        events, torn, seen = events + 1, torn or not finished, seen or line.link == until
        closed, last, converted = closed or line.kind == "session_closed", line.link, converted or foreign
    _ = seen or find("link_absent")
    state = "torn_tail" if torn else "sound" if closed and not until else "not_closed"
    state = "damaged" if any(found["kind"] not in HARMLESS for found in findings) else state
    head = (last if until else head or BEGINNING)[1]
    return {"state": state, "events": events, "head": head, "findings": findings}


def session(path):
    """The report on all files of a session, the newest being at `path`."""
    files, reports, findings, before, events = [(path, None)], [], [], BEGINNING, 0
    while True:
        first = line_of(files[0][0].read_bytes().split(b"\n")[0])
        name, link = getattr(first, "origin", None) or (path.name, None)
        if not (path.parent / name).exists() or name in [file.name for file, _ in files]:
            break
        files.insert(0, (path.parent / name, link))
    for file, until in files:
        reports.append(check(file.read_bytes(), until, before))
        findings += [{**found, "file": file.name} for found in reports[-1]["findings"]]
        before, events = until or before, events + reports[-1]["events"]
    state = "damaged" if "damaged" in [one["state"] for one in reports] else reports[-1]["state"]
    return {**reports[-1], "state": state, "events": events, "findings": findings}


if __name__ == "__main__":
    reports = [{"journal": name, **session(pathlib.Path(name))} for name in sys.argv[1:]]
    print(*(json.dumps(report, separators=(",", ":")) for report in reports), sep="\n")
    sys.exit(any(report["state"] not in ("sound", "not_closed") for report in reports))
