"""Adds up ctest's JUnit files; prints failed and skipped tests and the closing line."""
import argparse
import pathlib
import re
import sys
import xml.etree.ElementTree as ET


def skip_reason(case):
    """The text that the test gave, or what ctest says."""
    output = case.findtext("system-out") or ""
    found = re.search(r": Skipped\n(.*?)\n?(?:\n|\[  SKIPPED \]|$)", output, re.S)
    if found and found.group(1).strip():
        return " ".join(found.group(1).split())
    lines = [line.strip() for line in output.splitlines() if line.strip()]
    if lines:
        return lines[-1]
    message = case.find("skipped").get("message", "")
    return message or "no reason was given"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--broken", type=int, default=0, help="builds and other steps that failed")
    parser.add_argument("files", nargs="*", type=pathlib.Path)
    args = parser.parse_args()

    passed, failed, skipped = 0, args.broken, 0
    failures, skips = [], []
    for path in args.files:
        try:
            cases = ET.parse(path).getroot().iter("testcase")
        except ET.ParseError as error:
            failed += 1
            failures.append(f"{path.name}: cannot be read: {error}")
            continue
        for case in cases:
            name = f"{path.stem}: {case.get('name')}"
            if case.get("name").endswith("_NOT_BUILT"):
                # ctest calls it skipped; the tests of a program that is not there have not passed.
                failed += 1
                failures.append(name)
            elif case.find("skipped") is not None or case.get("status") == "disabled":
                skipped += 1
                skips.append((name, skip_reason(case) if case.find("skipped") is not None else "disabled"))
            elif case.get("status") == "run" and case.find("failure") is None:
                passed += 1
            else:
                failed += 1
                failures.append(name)

    for name, reason in skips:
        print(f"skipped  {name}: {reason}")
    for name in failures:
        print(f"FAILED   {name}")
    if passed + failed == 0:
        print("no test ran")
    print(f"{passed} passed, {failed} failed, {skipped} skipped")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
