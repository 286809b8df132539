"""What may be wrong with a page as a browser shows it."""

from __future__ import annotations

from pathlib import Path

_AXE = (Path(__file__).parents[1] / "vendor" / "axe.min.js").read_text("utf-8")
#: What is too small to be touched.
SMALL = """() => [...document.querySelectorAll(
        'button, select, input:not([type=hidden]), summary, nav a, a.button, a.zoom')]
        .filter(e => e.offsetParent !== null)
        // A choice by a tick or a drawing is touched on all of its label.
        .map(e => /checkbox|radio/.test(e.type) ? e.closest('label') : e)
        .map(e => [e.getBoundingClientRect(), e.outerHTML.slice(0, 80)])
        .filter(([b]) => b.width > 0 && (b.height < 43.5 || b.width < 43.5))
        .map(([b, t]) => `${b.width}x${b.height} ${t}`)"""
#: Pairs of labels that cover each other; labels that leave their card or the window.
#: The box of a text is taller than its letters by a few pixels.
LABELS = """() => {
    const faults = [];
    const shown = e => e.checkVisibility ? e.checkVisibility() : true;
    for (const svg of document.querySelectorAll('main svg')) {
        if (svg.parentElement.closest('svg') || svg.closest('.defs') || !shown(svg)) {
            continue;
        }
        const labels = [];
        for (const text of svg.querySelectorAll('text')) {
            for (const part of text.querySelectorAll('tspan').length
                    ? text.querySelectorAll('tspan') : [text]) {
                const box = part.getBoundingClientRect();
                if (part.textContent.trim() && box.width > 0 && shown(part)
                        && getComputedStyle(part).display !== 'none'
                        && !part.querySelector('tspan')) {
                    labels.push({text, words: part.textContent.trim(), box});
                }
            }
        }
        const card = (svg.closest('.card, .collection, figure') || svg)
            .getBoundingClientRect();
        labels.forEach((a, i) => {
            if (a.box.left < card.left - 1 || a.box.right > card.right + 1
                    || a.box.right > innerWidth + 1 || a.box.left < -1
                    || a.box.top < card.top - 1 || a.box.bottom > card.bottom + 1) {
                faults.push(`cut off: ${a.words}`);
            }
            labels.slice(i + 1).forEach(b => {
                if (a.text === b.text) {
                    return;
                }
                const wide = Math.min(a.box.right, b.box.right)
                    - Math.max(a.box.left, b.box.left);
                const high = Math.min(a.box.bottom, b.box.bottom)
                    - Math.max(a.box.top, b.box.top);
                if (wide > 1 && high > 4) {
                    faults.push(`${a.words} over ${b.words}`);
                }
            });
        });
    }
    return faults;
}"""


def axe_findings(page):
    """Return what axe finds: rule, impact and the first elements."""
    page.add_script_tag(content=_AXE)
    found = page.evaluate("axe.run(document)")
    assert len(found["passes"]) > 10
    return [
        (v["id"], v["impact"], [n["target"] for n in v["nodes"]][:3])
        for v in found["violations"]
    ]
