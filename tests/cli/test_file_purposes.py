"""Each file of the results is told with what it is for."""

from nesting_cli.file_purposes import told_files


def test_the_first_to_open_comes_first():
    """The report page first, layout.json last, names in one column."""
    lines = list(told_files(["layout.json", "plan-silk.pdf", "report.html"]))
    assert [line.split()[0] for line in lines] == ["report.html", "plan-silk.pdf", "layout.json"]
    assert len({line.index(line.split()[1]) for line in lines}) == 1


def test_every_file_of_a_run_has_a_purpose(plan, run, tmp_path):
    """Nothing is written that the maker is not told the use of."""
    result = run("lay", plan, "--seconds", "0.3", "--out", "laid")
    written = {path.name for path in (tmp_path / "here" / "laid").iterdir()}
    told = {
        line.split()[0]: line.split()[1:]
        for line in result.stderr.split("written to laid:\n")[1].splitlines()
    }
    assert set(told) == written
    assert all(told.values())
