"""Texts made to take memory or time: refused at once. Times and sizes before are in the words of each case."""

from __future__ import annotations

import json
import subprocess
import sys
import time

import pytest

from handling_db.files.reading import read_texts
from handling_db.files.yaml_text import MAX_FAULTS, MAX_NODES, load_text

_MEASURED = """
import json, re, sys, time
from handling_db.files.reading import read_texts
text = eval(sys.argv[1])
began = time.process_time()
found = read_texts([("f.yml", text)]).findings
took = time.process_time() - began
# the peak of this process alone: ru_maxrss of a child keeps that of the process it was made from
peak = int(re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())[1])
print(json.dumps([took, peak / 1024, len(found), str(found[0])]))
"""
FOUR_MB = {
    "a flat list": "'- component: a\\n  name: [' + 'a,' * 2_000_000 + 'a]\\n'",  # 20 s, 0.9 GB; nested in more 85 s, 3.3 GB
    "keys nobody knows": "'component: a\\nname: b\\n' + ''.join(f'k{i}: 1\\n' for i in range(400_000))",  # quadratic
    "records of no kind": "'- {x: 1}\\n' * 440_000",  # 31 s, 0.7 GB, 440,000 lines of output
    "anchors": "'- &a x\\n' * 500_000",  # 500,000 lines of output
}


@pytest.mark.slow
@pytest.mark.parametrize("text", FOUR_MB.values(), ids=FOUR_MB)
def test_four_megabytes_are_refused_in_a_second_within_200_mb(text: str) -> None:
    done = subprocess.run([sys.executable, "-c", _MEASURED, text], capture_output=True, text=True, check=True)

    took, memory, count, first = json.loads(done.stdout)
    assert took < 2, "a second on an idle machine"
    assert memory < 200
    assert count <= MAX_FAULTS + 1
    assert (
        "more than 250,000 values; nothing of it was read; split it" in first
        or "the anchor &a is not used" in first
    )


def test_unknown_keys_are_not_quadratic() -> None:
    """Twice the keys took four times as long."""
    text = "component: a\nname: b\nkind: part\n" + "".join(f"k{i}: 1\n" for i in range(1001))
    (finding, *_) = read_texts([("f.yml", text)]).findings
    assert "a mapping with 1,004 keys; no record has so many fields." in str(finding)

    some = "component: a\nname: b\nkind: part\n" + "".join(f"k{i}: 1\n" for i in range(900))
    assert len(read_texts([("f.yml", some)]).findings) == 900


def test_no_file_tells_of_more_faults_than_anybody_reads() -> None:
    findings = read_texts([("f.yml", "- {component: a}\n" * 3000)]).findings

    assert len(findings) == MAX_FAULTS + 1
    assert "more than 1,000 faults; the rest was not looked at; correct the first few" in " ".join(
        map(str, findings)
    )


@pytest.mark.slow
def test_the_largest_file_that_is_read_is_read() -> None:
    most = MAX_NODES // 5 - 1  # each record is a mapping with two keys and two values
    text = "".join(f"- {{shop: s{i}, name: S}}\n" for i in range(2000))
    loaded = load_text(text, "f.yml")

    assert (loaded.nodes, len(loaded.value)) == (2000 * 5 + 1, 2000)
    assert load_text("- {a: b, c: d}\n" * most, "f.yml").findings == ()
    assert len(load_text("- {a: b, c: d}\n" * (most + 2), "f.yml").findings) == 1


def test_several_files_have_a_limit_together_where_one_is_given() -> None:
    files = [(f"{i}.yml", f"shop: s{i}\nname: S\n") for i in range(10)]

    assert len(read_texts(files).collection.shops) == 10
    reading = read_texts(files, most=20)
    assert [str(finding) for finding in reading.findings] == [
        "4.yml:1: up to here there are more than 20 values; correct the first few and look again."
    ]


def test_a_shared_graph_is_exported_up_to_the_limit_of_places(tmp_path) -> None:
    """Forty levels of two lines each are 10^12 places; the export grew until the memory was full."""
    from click.testing import CliRunner

    from handling_db.cli import main

    lines = ["- {source: s, name: S, kind: weighed}"]
    for i in range(40):
        part = f"{{component: n{i + 1}, quantity: 1, id: l{i}X}}"
        lines.append(f"- component: n{i}\n  name: N{i}\n  kind: assembly\n  parts listed: all\n"
                     f"  parts: [{part.replace('X', 'a')}, {part.replace('X', 'b')}]")  # fmt: skip
    lines.append("- {component: n40, name: Leaf, kind: part, masses: [{printed: 1 kg, source: s}]}")
    (tmp_path / "a.yml").write_text("\n".join(lines))

    words = ["export", str(tmp_path), "--component", "n0", "-o", str(tmp_path / "o.csv")]
    began = time.process_time()
    done = CliRunner().invoke(main, words)
    assert time.process_time() - began < 3, "counted, not gone through"

    assert done.exit_code == 2
    assert "n0 has more than 200000 places; list a smaller assembly" in done.stderr
    assert not (tmp_path / "o.csv").exists()


def test_what_contains_itself_is_not_listed_without_end(tmp_path) -> None:
    from click.testing import CliRunner

    from handling_db.cli import main

    text = "- {component: %s, name: N, kind: assembly, parts listed: all, parts: [{component: %s, quantity: 1}]}\n"
    (tmp_path / "a.yml").write_text(text % ("a", "b") + text % ("b", "a"))

    done = CliRunner().invoke(
        main, ["export", str(tmp_path), "--component", "a", "-o", str(tmp_path / "o.csv")]
    )

    assert done.exit_code == 2
    assert "contains itself" in done.stderr
