"""``combweave redraw``: every output again from a pattern file that was edited by hand."""

from pathlib import Path

from convert.cli import options as opt

STAGES = 6


def redraw(
    pattern: opt.PatternPath,
    out: opt.Out = None,
    paper: opt.PaperName = "a4",
    ink: opt.Ink = "colour",
    force: opt.Force = False,
    quiet: opt.Quiet = False,
    verbose: opt.Verbose = False,
    as_json: opt.AsJson = False,
    config: opt.Config = None,
) -> None:
    """Rebuild every output from a pattern file, such as one in which you changed a bead's colour."""
    from convert.cli.inputs import load_pattern, stem
    from convert.cli.report import print_json, print_summary, progress_shown
    from convert.files.output_folder import check_target, output_folder
    from convert.outputs import write_outputs
    from convert.summary import summary_facts, summary_json
    from convert.thread.verifier import verify
    from convert.units import PAPERS

    target = out or Path(f"{stem(pattern)}-redrawn")
    check_target(target, force=force)
    with progress_shown(STAGES, quiet=quiet) as progress:
        progress("Reading the pattern")
        piece = load_pattern(pattern)
        progress("Proving the thread path")
        report = verify(piece.weave, piece.thread, piece.supplies)
        with output_folder(target, force=force) as folder:
            write_outputs(piece, report, folder, progress, paper=PAPERS[paper], ink=ink)
    print_summary({**summary_facts(piece, report), "Outputs": str(target)}, report.warnings, quiet=quiet)
    if as_json:
        print_json(summary_json(piece, report))
