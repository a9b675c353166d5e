"""``yardage check``: everything read and listed, nothing solved, nothing written."""


def test_lists_pieces_counts_and_sizes(plan, run, tmp_path):
    """Every piece with its counts right and left, its size on the cloth, and its grain."""
    before = sorted(tmp_path.rglob("*"))
    result = run("check", plan)
    assert result.exit_code == 0
    panel = next(line for line in result.stdout.splitlines() if "panel" in line)
    assert panel.split() == ["panel", "holland", "2", "1", "1", "30.0", "cm", "20.0", "cm",
                             "lengthwise"]  # fmt: skip
    assert "4 to cut on 88.0 cm" in result.stdout
    # (2 x 20 x 30 + 2 x 10 x 12 / 2) cm2 on 88 cm: 15.0 cm.
    assert "shorter than 15.0 cm" in result.stdout
    assert sorted(tmp_path.rglob("*")) == before


def test_names_what_is_odd(plan, run):
    """A cloth that nothing is cut from is named."""
    plan.write_text(plan.read_text("utf-8") + '\n[[cloth]]\nname = "silk"\nwidth = 50\n', "utf-8")
    result = run("check", plan)
    assert result.exit_code == 0
    assert "'silk': no piece is cut from it" in result.stdout


def test_a_piece_to_be_pieced_is_shown_in_parts(plan, run):
    """Wider than its cloth, it is listed as its piecing allows, and that is said."""
    text = plan.read_text("utf-8").replace("width = 90", "width = 20")
    plan.write_text(text, "utf-8")
    assert run("check", plan).exit_code == 1
    plan.write_text(text.replace('cut = "pair"', 'cut = "pair"\npiecing = {}'), "utf-8")
    result = run("check", plan)
    assert result.exit_code == 0
    for part in ("panel, main part", "panel, wedge", "piece 'panel': it is wider than its cloth"):
        assert part in result.stdout


def test_quiet(plan, run):
    """With --quiet a sound plan says nothing."""
    result = run("check", plan, "--quiet")
    assert result.exit_code == 0
    assert not result.output
