"""What belongs to the process: pipes, terminals, a full disk, Ctrl-C."""

import os
import re
import signal
import struct
import subprocess
import sys
from pathlib import Path

import pytest

fcntl = pytest.importorskip("fcntl", reason="terminals of this kind are POSIX")
pty = pytest.importorskip("pty")
termios = pytest.importorskip("termios")

FULL_DISK = Path("/dev/full")


def spawn(*arguments, **options):
    return subprocess.run(
        [sys.executable, "-m", "energysim", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        check=False,
        **options,
    )


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_a_reader_that_leaves_early_is_no_error(folder):
    for options in ((), ("--json",)):
        shell = f"{sys.executable} -m energysim day day.toml {' '.join(options)} | true"
        ended = subprocess.run(
            ["bash", "-c", f"set -o pipefail; {shell}"],
            cwd=folder, capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        assert (ended.returncode, ended.stderr) == (0, "")


@pytest.mark.slow
@pytest.mark.skipif(not FULL_DISK.exists(), reason="needs /dev/full")
@pytest.mark.usefixtures("day")
def test_a_full_disk_is_told_and_is_no_bug(folder):
    with FULL_DISK.open("w", encoding="utf-8") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "energysim", "day", "day.toml"],
            cwd=folder, stdout=full, stderr=subprocess.PIPE, text=True, timeout=60, check=False,
        )  # fmt: skip
    assert ended.returncode == 4
    assert ended.stderr == "the answer cannot be written: No space left on device\n"


@pytest.mark.slow
def test_signs_a_terminal_does_not_have_stop_nothing(day, folder):
    (folder / "day.toml").write_text(
        day.replace("old pier", "vieux môle \u2192 nord"), encoding="utf-8"
    )
    ended = spawn(
        "day", "day.toml", cwd=folder, env={**os.environ, "PYTHONIOENCODING": "ascii"}
    )
    assert ended.returncode == 0
    assert ended.stdout.startswith("Off the vieux môle \u2192 nord (invented)")


def on_a_terminal(folder, columns, *, out_too, **environment):
    """Run the day with a terminal of a width on stdin, and on stdout if wanted."""
    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    env = {**os.environ, "TERM": "xterm-256color", **environment}
    process = subprocess.Popen(
        [sys.executable, "-m", "energysim", "day", "day.toml"],
        cwd=folder, stdin=follower, stdout=follower if out_too else subprocess.PIPE,
        stderr=subprocess.PIPE, env=env,
    )  # fmt: skip
    os.close(follower)
    text = b""
    if out_too:
        while True:
            try:
                part = os.read(leader, 65536)
            except OSError:  # Linux says so when the other end closes
                break
            if not part:
                break
            text += part
    else:
        text = process.stdout.read()
        process.stdout.close()
    process.stderr.close()
    assert process.wait(timeout=60) == 0
    os.close(leader)
    return text.decode()


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_a_pipe_is_80_columns_even_from_a_wide_terminal(folder):
    text = on_a_terminal(folder, 160, out_too=False)
    assert "\x1b" not in text
    assert max(len(line) for line in text.splitlines()) <= 80


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_a_terminal_has_colour_unless_no_color_is_set(folder):
    green = "\x1b[32m"
    assert green in on_a_terminal(folder, 100, out_too=True)
    # no-color.org: any value that is not empty; bold may stay, colour may not.
    plain = on_a_terminal(folder, 100, out_too=True, NO_COLOR="1")
    assert not re.search(r"\x1b\[[0-9;]*(?:3[0-7]|9[0-7]|4[0-7])m", plain)


@pytest.mark.slow
@pytest.mark.usefixtures("day")
def test_a_whole_process_answers_and_exits_with_5_when_asked_to_be_strict(folder):
    ended = spawn("day", "day.toml", "--strict", "--wind", "60 kn", cwd=folder)
    assert ended.returncode == 5
    assert ended.stderr == ""
    assert ended.stdout.startswith("Off the old pier (invented)")


@pytest.mark.slow
def test_ctrl_c_in_the_middle_of_the_questions_exits_with_130_and_writes_nothing(folder):
    process = subprocess.Popen(
        [sys.executable, "-m", "energysim", "new"],
        cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    said = b""
    while b"Name of the day" not in said:
        said += os.read(process.stderr.fileno(), 4096)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130  # 128 + SIGINT, as shells count
    assert out == b""
    assert b"Traceback" not in said + err
    assert list(folder.iterdir()) == []


def test_ctrl_c_while_modules_load_ends_with_130_and_says_so():
    program = (
        "import energysim.cli as cli, energysim.cli.app as app\n"
        "def stopped(): raise KeyboardInterrupt\n"
        "app.main = stopped\n"
        "cli.main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr == "\nstopped; nothing was written\n"
