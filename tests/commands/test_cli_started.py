"""The program as its own process: consoles of any encoding, readers that go away, signals."""

from __future__ import annotations

import os
import signal
import subprocess

import pytest

from tests.commands.command_line import start


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
@pytest.mark.parametrize("arguments", [["check"], ["check", "--json"], ["build"]])
def test_every_console_gets_its_message_and_its_exit_code(
    python, clean_environment, here, encoding, arguments
):
    text = (
        (here / "wrong.yaml")
        .read_text(encoding="utf-8")
        .replace("Harbour regatta opening", "Régate − 漢字 ▲ ′")
    )
    (here / "wrong.yaml").write_text(text, encoding="utf-8")
    done = start(python, clean_environment, here, *arguments, "wrong.yaml", PYTHONIOENCODING=encoding)
    told = (done.stdout + done.stderr).decode(encoding)
    assert done.returncode == 2
    assert "calsign" in told and "Traceback" not in told


@pytest.mark.parametrize(
    "arguments", [["check", "good.yaml"], ["check", "good.yaml", "--json"], ["schema"], ["--help"]]
)
def test_a_reader_that_goes_away_causes_no_traceback(python, clean_environment, here, arguments):
    process = subprocess.Popen(
        [python, "-m", "briefgen", *arguments],
        env=clean_environment,
        cwd=here,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.close()
    errors = process.stderr.read().decode()
    assert process.wait(60) == 0
    assert errors == ""


@pytest.mark.skipif(
    not os.path.exists("/dev/full"), reason="NOT CHECKED: this system has no device that is always full"
)
@pytest.mark.parametrize(
    ("arguments", "target", "word"),
    [
        *(
            (arguments, "> /dev/full", "No space left on device")
            for arguments in ("check good.yaml", "check good.yaml --json", "schema", "--help")
        ),
        *(
            (arguments, ">&-", "it is closed") for arguments in ("check good.yaml", "schema")
        ),  # of the help it is no loss
    ],
)
def test_an_output_that_is_full_or_closed_is_told_with_its_own_exit_code(
    python, clean_environment, here, arguments, target, word
):
    done = subprocess.run(
        ["sh", "-c", f'"{python}" -m briefgen {arguments} {target}'],
        env=clean_environment,
        cwd=here,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 74  # EX_IOERR
    assert done.stderr == f"briefgen: error: the output could not be printed: {word}\n"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="NOT CHECKED: this system has no pipes with names")
@pytest.mark.parametrize("name", ["pipe", "/dev/null", "/dev/zero"])
def test_a_pipe_and_a_device_are_refused_at_once(python, clean_environment, here, name):
    os.mkfifo(here / "pipe")
    done = start(python, clean_environment, here, "check", name)
    assert done.returncode == 2 and b"it is a pipe or a device, no file" in done.stdout


def test_control_c_ends_without_a_traceback_and_leaves_no_half(python, clean_environment, here):
    # tests that were started in a shell's background have Control-C switched off, and so would what they
    # start
    script = (
        "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\nimport time,"
        " briefgen.build.build as b, briefgen.cli as c\nfrom briefgen.build.products import Product\ndef"
        " slow(plan, context):\n    print('working', flush=True)\n    time.sleep(60)\nb.PRODUCTS ="
        " (Product('slow', 'txt', slow),)\nc.main(['build', 'good.yaml'])"
    )
    process = subprocess.Popen(
        [python, "-c", script],
        env=clean_environment,
        cwd=here,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout.readline() == b"working\n"
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130
    assert b"Traceback" not in errors and b"stopped" in errors
    assert not (here / "out").exists()
