"""``combweave check``: proves a pattern file without writing anything."""

from convert.cli import options as opt
from convert.cli.groups import takes_groups
from convert.settings.weave import BeadLimit


@takes_groups
def check(pattern: opt.PatternPath, limit: BeadLimit, telling: opt.Telling) -> None:
    """Prove a pattern file: beads, loops, thread path, and passes against the holes."""
    from convert.cli.inputs import load_pattern
    from convert.cli.report import print_json, print_summary
    from convert.front_door import summary
    from convert.writing.summary import summary_facts

    made = load_pattern(pattern, limit)
    facts = {
        **summary_facts(made.pattern, made.thread),
        "Proof": "every bead is strung and every loop closes:"
        f" {made.thread.corners:,} corners, {made.pattern.weave.loops:,} loops"
        + (", in each copy" if made.pattern.pieces > 1 else ""),
    }
    print_summary(facts, (*made.notes, *made.thread.warnings), quiet=telling.quiet)
    if telling.as_json:
        print_json(summary(made))
