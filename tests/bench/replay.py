"""A long recording held against its sequence: seconds and memory of a million samples.

`PYTHONPATH=tests python -m bench.replay [rows]`
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

from bench.settings import REPOSITORY

from seqcheck.plc.recording_map import RecordingMap
from seqcheck.plc.replay_recording import replay_recording
from seqcheck.reader.read import read_sequence

HEADER = "time_us,clamp_close,clamp_closed,clamp_open,hood_closed,splice_request,splice"
CYCLE = (
    (0, "0,0,1,1,0,ready"), (1_000_000, "0,0,1,1,1,ready"), (1_006_000, "1,0,0,1,1,clamping"),
    (1_050_000, "1,0,0,1,0,clamping"),
    (1_158_000, "1,1,0,1,0,clamping"), (1_164_000, "0,0,0,1,0,opening"),
    (1_294_000, "0,0,1,1,0,opening"), (1_300_000, "0,0,1,1,0,ready"),
)  # fmt: skip
PERIOD_US, SAMPLE_US = 10_000_000, 10_000


def write_log(path: Path, rows: int) -> None:
    """One cycle every ten seconds, a sample every 10 ms."""
    cycle = [[rest for at_us, rest in CYCLE if at_us <= time_us][-1] for time_us in range(0, PERIOD_US, SAMPLE_US)]
    with path.open("w", encoding="utf-8") as file:
        file.write(HEADER + "\n")
        file.writelines(f"{row * SAMPLE_US},{cycle[row % len(cycle)]}\n" for row in range(rows))


def main() -> None:
    """Measure and print."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    sequence = read_sequence(REPOSITORY / "tests" / "cli" / "clamp.yaml")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write_log(path, rows)
        before = time.process_time()
        found = replay_recording(sequence, path, RecordingMap())
        took_s = time.process_time() - before
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{rows} rows, {found.moments} moments, {found.deviation_count} deviations: {took_s:.1f} CPU s, peak {peak_mib:.0f} MiB")


if __name__ == "__main__":
    main()
