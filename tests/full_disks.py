#!/usr/bin/env python3
"""T9: the disk is full. A file system of 20 sizes, a file-size limit of 20 sizes (the system's signal
for it must not kill the program), and /dev/full where a folder should be. What was acknowledged is
readable; every other reading is told as NOT RECORDED, with the folder and its free space.

    full_disks.py PROGRAM [limit]     `limit`: what needs no right to mount
"""

import pathlib, resource, subprocess, sys, tempfile, time

from typed_bench import Failed, Session, check, demand, finish, records, value

LEVELS = 20
READINGS = 60  # about 1.5 kB each


def fill(session):
    """Types everything, and ends: the program tries to the last."""
    for at in range(0, READINGS, 5):
        session.send([value(number) for number in range(at, at + 5)])
    return session.end()


def nothing_silent(session, readable):
    """Each reading that was typed is readable, or was told as NOT RECORDED."""
    told = {one["input"] for one in session.errors}
    silent = set(session.sent) - told - set(readable.values())
    demand(not silent, f"silently unsaved: {sorted(silent)[:5]}")


def judge(program, workspace, rescue, **other):
    session = Session(program, workspace, rescue, **other)
    code = fill(session)
    acknowledged, readable = check(session, records(workspace, rescue))
    nothing_silent(session, readable)
    told = [one["error"] for one in session.errors if one["error"]["code"] == "not_recorded"]
    if told:
        first = told[0]["message"]
        demand("NOT RECORDED" in first and str(workspace) in first, f"no folder named: {first}")
        demand(" free." in first, f"no free space told: {first}")
        demand(code == 3, f"exit {code}, not 3")
    return acknowledged, bool(told)


def on_small_disks(program):
    for level in range(1, LEVELS + 1):
        for rescued in (False, True):
            with tempfile.TemporaryDirectory() as scratch:
                folder = pathlib.Path(scratch)
                small, rescue = folder / "small", folder / "rescue"
                small.mkdir()
                rescue.mkdir()
                size = f"size={level * 4096}"
                subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", small], check=True)
                try:
                    yield f"disk of {level * 4} KiB, rescue {rescued}", judge(
                        program, small, rescue if rescued else small
                    )
                finally:
                    subprocess.run(["umount", small], check=True)


def under_limits(program):
    for level in range(1, LEVELS + 1):
        with tempfile.TemporaryDirectory() as scratch:
            folder, bytes_most = pathlib.Path(scratch), 700 * level

            def limit():
                resource.setrlimit(resource.RLIMIT_FSIZE, (bytes_most, bytes_most))

            # Each continuation is a new file with the same limit; the session crawls on.
            session = Session(program, folder, folder, preexec_fn=limit)
            code = fill(session)
            demand(code >= 0, f"signal {-code} killed the program at {bytes_most} bytes")
            acknowledged, readable = check(session, records(folder))
            told = any(one["error"]["code"] == "not_recorded" for one in session.errors)
            if acknowledged:  # else no session was begun, and its one error says so
                nothing_silent(session, readable)
            demand(code == 3, f"exit {code}, not 3")
            yield f"limit of {bytes_most} bytes", (acknowledged, told)


def no_folder(program):
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        (folder / "sessions").symlink_to("/dev/full")
        for workspace in (pathlib.Path("/dev/full"), folder):
            session = Session(program, workspace, folder)
            session.send([value(0)])
            code = session.end()
            told = [one["error"]["message"] for one in session.errors]
            demand(code == 3 and not session.acknowledged, f"exit {code}")
            demand(told and str(workspace) in told[0], f"no folder named: {told}")
            yield f"{workspace} as the workspace", (0, True)
        with open("/dev/full", "w") as full:
            session = Session(program, folder / "other", folder, stdout=full)
            session.send([value(number) for number in range(5)])
            code = session.end()
            demand(code == 3, f"answers that cannot be shown: exit {code}")
            check(session, records(folder / "other"))
            yield "answers to /dev/full", (0, True)


def main(program, *arguments):
    since, cases, failures, acknowledged = time.monotonic(), 0, [], 0
    groups = [under_limits, no_folder] + ([] if "limit" in arguments else [on_small_disks])
    for group in groups:
        begun, count, told = time.monotonic(), 0, 0
        try:
            for _, (number, was_told) in group(program):
                count, told, acknowledged = count + 1, told + was_told, acknowledged + number
        except Failed as failure:
            failures.append(f"{group.__name__}, case {count + 1}: {failure}")
        cases += count
        passed = time.monotonic() - begun
        print(f"{group.__name__}: {count} cases, {told} told NOT RECORDED, {passed:.1f} s")
    print(f"{acknowledged} acknowledged readings, all found")
    finish("T9 full disks", cases, failures, since)


main(str(pathlib.Path(sys.argv[1]).resolve()), *sys.argv[2:])
