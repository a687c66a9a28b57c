"""``combweave check``: proves a pattern file without writing anything."""

from convert.cli import options as opt


def check(
    pattern: opt.PatternPath,
    quiet: opt.Quiet = False,
    verbose: opt.Verbose = False,
    as_json: opt.AsJson = False,
    config: opt.Config = None,
) -> None:
    """Prove a pattern file: beads, loops, thread path, and passes against the holes."""
    from convert.cli.inputs import load_pattern
    from convert.cli.report import print_json, print_summary
    from convert.thread.verifier import verify
    from convert.writing.summary import summary_facts, summary_json

    piece = load_pattern(pattern)
    report = verify(piece.weave, piece.thread, piece.supplies)
    facts = {
        **summary_facts(piece, report),
        "Proof": "every bead is strung and every loop closes:"
        f" {report.corners:,} corners, {piece.weave.loops:,} loops"
        + (", in each copy" if piece.copies > 1 else ""),
    }
    print_summary(facts, report.warnings, quiet=quiet)
    if as_json:
        print_json({**summary_json(piece, report), "notes": list(report.warnings)})
