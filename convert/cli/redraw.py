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
    from convert.cli.delivery import tell_piece, write_piece
    from convert.cli.inputs import load_pattern, stem
    from convert.cli.report import progress_shown
    from convert.thread.verifier import verify
    from convert.writing.output_folder import check_target

    target = out or Path(f"{stem(pattern)}-redrawn")
    check_target(target, force=force)
    with progress_shown(STAGES, quiet=quiet) as progress:
        progress("Reading the pattern")
        piece = load_pattern(pattern)
        progress("Proving the thread path")
        report = verify(piece.weave, piece.thread, piece.supplies)
        write_piece(piece, report, target, progress, force=force, paper=paper, ink=ink)
    tell_piece(piece, report, target, (), quiet=quiet, as_json=as_json)
