#!/usr/bin/env python3
"""T8: the power is cut. The workspace lies on an ext4 file system in a file; the file system is
shut down at a random time as a power cut does it, without its log being flushed, and mounted again.
Only synced bytes are still there, and all that was acknowledged must be among them.

    power_cuts.py PROGRAM [SEED]     5 cuts; 100 with FITLEDGER_NIGHTLY=1; needs to mount
"""

import fcntl, os, pathlib, struct, subprocess, sys, tempfile, time

from typed_bench import NIGHTLY, Failed, Session, check, finish, records, seeded, value, verified

SHUTDOWN = 2 << 30 | 4 << 16 | ord("X") << 8 | 125  # _IOR('X', 125, __u32) of linux/fs
WITHOUT_FLUSHING_THE_LOG = 2
CUTS_OF_A_DISK = 10


class Disk:
    """An ext4 file system in a file."""

    def __init__(self, folder):
        self.image, self.place = folder / "disk", folder / "mounted"
        self.place.mkdir()
        with open(self.image, "wb") as image:
            image.truncate(24 << 20)
        subprocess.run(["mkfs.ext4", "-q", self.image], check=True)
        self.mount()

    def mount(self):
        subprocess.run(["mount", "-o", "loop", self.image, self.place], check=True)

    def unmount(self):
        subprocess.run(["umount", self.place], check=True)

    def cut(self):
        place = os.open(self.place, os.O_RDONLY)
        try:
            fcntl.ioctl(place, SHUTDOWN, struct.pack("I", WITHOUT_FLUSHING_THE_LOG))
        finally:
            os.close(place)

    def back(self):
        self.unmount()
        self.mount()


def cuts_of_a_disk(program, random, cuts, tally):
    with tempfile.TemporaryDirectory() as scratch:
        disk = Disk(pathlib.Path(scratch))
        try:
            journal, readable = None, {}
            for cut in range(cuts):
                session = Session(program, disk.place, disk.place, journal)
                session.send([value(len(readable))])
                session.answered(1)
                end = time.monotonic() + random.random() * 0.3
                while time.monotonic() < end:
                    sent = len(session.sent)
                    values = range(random.randrange(1, 6))
                    session.send([value(len(readable) + sent + at) for at in values])
                    time.sleep(random.random() * 0.004)
                # What can still be read now, written or not, is more than what was synced.
                before = sum(path.stat().st_size for path in records(disk.place))
                disk.cut()
                session.kill()
                disk.back()
                paths = records(disk.place)
                after = sum(path.stat().st_size for path in paths)
                acknowledged, readable = check(session, paths, readable)
                tally["acknowledged"] += acknowledged
                tally["sent"] += len(session.sent)
                tally["cuts that took bytes"] += after < before
                journal = paths[-1]
            session = Session(program, disk.place, disk.place, journal)
            session.send([value(len(readable))])
            session.end()
            check(session, records(disk.place), readable)
            verified(program, records(disk.place)[-1], "sound")
            tally["readable"] += len(readable)
        finally:
            disk.unmount()


def main(program, *arguments):
    random, since = seeded(arguments), time.monotonic()
    cuts, done, failures = 100 if NIGHTLY else 5, 0, []
    tally = dict.fromkeys(("sent", "acknowledged", "readable", "cuts that took bytes"), 0)
    while done < cuts:
        number = min(CUTS_OF_A_DISK, cuts - done)
        try:
            cuts_of_a_disk(program, random, number, tally)
        except Failed as failure:
            failures.append(f"cuts {done} to {done + number}: {failure}")
        done += number
    print(", ".join(f"{count} {name}" for name, count in tally.items()))
    finish("T8 power cuts", done, failures, since)


main(str(pathlib.Path(sys.argv[1]).resolve()), *sys.argv[2:])
