"""A drawing of a tightening order: the bolts where they lie, each with its number and its turn."""

from __future__ import annotations

import math
from collections.abc import Collection
from xml.sax.saxutils import escape

from .order import TighteningOrder, places_in_rows

_SIZE = 420.0
_RING = 138.0
"""Radius of the circle that the bolts stand on: leaves room outside for the turn of the largest bolt."""
_STYLE = """
.order-plate{fill:var(--order-plate,#f4f1ea);stroke:var(--order-line,#8b8577);stroke-width:2}
.order-way{stroke:var(--order-way,#b9b19d);stroke-width:1.5;stroke-dasharray:2 5;fill:none}
.order-bolt{fill:var(--order-bolt,#fffdf8);stroke:var(--order-ink,#23302f);stroke-width:2}
.order-done .order-bolt{fill:var(--order-done,#2f6f5e)}
.order-done .order-number{fill:var(--order-done-ink,#ffffff)}
.order-due .order-bolt{fill:var(--order-due,#ffb703);stroke-width:4}
.order-halo{fill:none;stroke:var(--order-due,#ffb703);stroke-width:3}
.order-number,.order-turn{text-anchor:middle;dominant-baseline:central}
.order-number{font:700 var(--size) system-ui,sans-serif;fill:var(--order-ink,#23302f)}
.order-turn{font:500 var(--size) system-ui,sans-serif;fill:var(--order-faint,#6d675a)}
.order-said{font:600 15px system-ui,sans-serif;fill:var(--order-ink,#23302f);text-anchor:middle}
"""


def order_svg(
    order: TighteningOrder, *, due: int | None = None, done: Collection[int] = (), title: str = "", start: str = ""
) -> str:
    """The order as an SVG picture: bolt numbers in the bolts, the turn of each beside it in small.

    `due` is the position that is next (drawn with a halo), `done` those behind us. `start` names where position 1
    is. Colours are CSS variables (--order-ink, --order-due ...) with defaults, so that a page may give its own.
    """
    places, radius = _placed(order)
    turns = {position: turn for turn, position in enumerate(order.sequence, 1)}
    name = title or f"Tightening order for {order.count} fasteners, {order.pattern}"
    told = f"{name}: {', '.join(map(str, order.sequence))}." + (f" Due: {due}." if due else "")
    drawn = [_ground(order, radius), _way(order, places)]
    for position in sorted(turns):
        x, y, tag_x, tag_y = places[position - 1]
        state = " order-due" if position == due else " order-done" if position in done else ""
        halo = f'<circle class="order-halo" cx="{x:.1f}" cy="{y:.1f}" r="{radius + 5:.1f}"/>' if position == due else ""
        drawn.append(
            f'<g class="order-place{state}" data-position="{position}" data-turn="{turns[position]}">'
            f'{halo}<polygon class="order-bolt" points="{_hexagon(x, y, radius)}"/>'
            f'<text class="order-number" style="--size:{radius * 0.95:.1f}px" x="{x:.1f}" y="{y:.1f}">{position}</text>'
            f'<text class="order-turn" style="--size:{radius * 0.7:.1f}px" x="{tag_x:.1f}" y="{tag_y:.1f}">'
            f"{turns[position]}.</text></g>"
        )
    if start:
        drawn.append(f'<text class="order-said" x="{_SIZE / 2}" y="{_SIZE + 16}">1 is at {escape(start)}</text>')
    height = _SIZE + (26 if start else 0)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_SIZE:.0f} {height:.0f}" role="img" '
        f'class="order" aria-label="{escape(told, {chr(34): "&quot;"})}"><title>{escape(told)}</title>'
        f"<style>{_STYLE}</style>{''.join(drawn)}</svg>\n"
    )


def _placed(order: TighteningOrder) -> tuple[list[tuple[float, float, float, float]], float]:
    """Of each position: middle and tag, in drawing units; and the radius of a bolt."""
    middle = _SIZE / 2
    if not order.rows:
        ring = _RING
        radius = max(4.0, min(32.0, ring * math.sin(math.pi / max(order.count, 2)) * 0.8))
        tag = ring + radius + 6 + radius * 0.6
        rays = [math.tau * at / order.count for at in range(order.count)]
        return [
            (
                middle + ring * math.sin(a),
                middle - ring * math.cos(a),
                middle + tag * math.sin(a),
                middle - tag * math.cos(a),
            )
            for a in rays
        ], radius
    spots = places_in_rows(order.rows)
    across = max(max(abs(x) for x, _ in spots) * 2, 1.0)
    down = max(len(order.rows) - 1, 1)
    step = min((_SIZE - 90) / across, (_SIZE - 110) / down, 90.0)
    radius = max(4.0, min(30.0, step * 0.32))
    return [
        (middle + x * step, middle + y * step, middle + x * step, middle + y * step + radius * 1.6) for x, y in spots
    ], radius


def _ground(order: TighteningOrder, radius: float) -> str:
    """The flange or the plate that the bolts stand on."""
    middle = _SIZE / 2
    if order.rows:
        return f'<rect class="order-plate" x="14" y="14" width="{_SIZE - 28}" height="{_SIZE - 44}" rx="18"/>'
    return (
        f'<circle class="order-plate" cx="{middle}" cy="{middle}" r="{_RING + radius + 4:.1f}"/>'
        f'<circle class="order-plate" cx="{middle}" cy="{middle}" r="52" style="fill:none"/>'
    )


def _way(order: TighteningOrder, places: list[tuple[float, float, float, float]]) -> str:
    """The way from bolt to bolt over the first group."""
    points = " ".join(f"{places[position - 1][0]:.1f},{places[position - 1][1]:.1f}" for position in order.groups[0])
    return f'<polyline class="order-way" points="{points}"/>'


def _hexagon(x: float, y: float, radius: float) -> str:
    corners = (math.radians(60 * corner + 30) for corner in range(6))
    return " ".join(f"{x + radius * math.cos(a):.1f},{y + radius * math.sin(a):.1f}" for a in corners)
