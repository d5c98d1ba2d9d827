"""Runs the benchmark program and compares ratios of its times with stored ones.

Seconds differ between machines; the ratio of two times on one machine differs little. ratios.json:
  {"ratios": [{"name": "...", "over": "BM_a", "under": "BM_b", "stored": 2.0, "factor": 1.5, "why": "..."}]}
A ratio fails when time(over) / time(under) > stored * factor.

usage: bench_ratios.py PROGRAM RATIOS.json [RESULT.json]
"""
import json
import pathlib
import subprocess
import sys


def best_times(report):
    """Shortest CPU time of each benchmark, in nanoseconds: the least disturbed by other work."""
    unit = {"ns": 1.0, "us": 1e3, "ms": 1e6, "s": 1e9}
    best = {}
    for run in report["benchmarks"]:
        if run.get("run_type") == "iteration":
            if run.get("error_occurred"):
                raise SystemExit(f"{run['run_name']}: {run.get('error_message')}")
            time = run["cpu_time"] * unit[run["time_unit"]]
            best[run["run_name"]] = min(time, best.get(run["run_name"], time))
    return best


def compare(best, ratios):
    problems = []
    for entry in ratios:
        missing = [b for b in (entry["over"], entry["under"]) if b not in best]
        if missing:
            problems.append(f"{entry['name']}: no benchmark is named {', '.join(missing)}")
            continue
        measured = best[entry["over"]] / best[entry["under"]]
        limit = entry["stored"] * entry["factor"]
        verdict = "ok"
        if measured > limit:
            verdict = "FAILED"
            problems.append(f"{entry['name']}: measured {measured:.3g}, allowed {limit:.3g}. {entry['why']}")
        elif measured < entry["stored"] / entry["factor"]:
            verdict = "ok, much better than stored: store it anew"
        print(f"{entry['name']:<45} measured {measured:8.3g}  stored {entry['stored']:8.3g}"
              f"  allowed {limit:8.3g}  {verdict}")
    return problems


def main():
    program, ratio_file = sys.argv[1], pathlib.Path(sys.argv[2])
    ratios = json.loads(ratio_file.read_text(encoding="utf-8"))["ratios"]
    done = subprocess.run(
        [program, "--benchmark_format=json", "--benchmark_repetitions=5", "--benchmark_min_time=0.05",
         "--benchmark_enable_random_interleaving=true", "--benchmark_filter=-^long/"],
        capture_output=True, text=True, check=False)
    if done.returncode != 0:
        print(done.stderr)
        return 1
    if len(sys.argv) > 3:
        pathlib.Path(sys.argv[3]).write_text(done.stdout, encoding="utf-8")
    problems = compare(best_times(json.loads(done.stdout)), ratios)
    for problem in problems:
        print(problem)
    return 1 if problems or not ratios else 0


if __name__ == "__main__":
    sys.exit(main())
