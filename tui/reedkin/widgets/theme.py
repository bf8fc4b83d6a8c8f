"""The looks of the program: the colours of cane, thread and brass on a dark bench, or on paper."""

from __future__ import annotations

from textual.theme import Theme

BENCH = Theme(
    name="reedkin-bench",
    primary="#d8b46a",
    secondary="#b0552f",
    accent="#8fb3a5",
    warning="#e3b341",
    error="#e5675a",
    success="#93b06d",
    foreground="#e9e2d3",
    background="#191613",
    surface="#221e1a",
    panel="#2c2722",
    dark=True,
    variables={
        "cane": "#d8b46a",
        "cane-dark": "#8d6b34",
        "thread": "#c0502f",
        "brass": "#e8cf6a",
        "metal": "#a9b3b5",
        "tubing": "#7fa6b8",
        "faint": "#a2988a",
        "strong": "#fff7e6",
        "footer-key-foreground": "#d8b46a",
    },
)

PAPER = Theme(
    name="reedkin-paper",
    primary="#7a5412",
    secondary="#8a3a1c",
    accent="#2f6656",
    warning="#835c00",
    error="#a8261b",
    success="#3f6420",
    foreground="#2a241c",
    background="#f6f1e6",
    surface="#efe8d8",
    panel="#e5dcc7",
    dark=False,
    variables={
        "cane": "#8a6420",
        "cane-dark": "#6a4a14",
        "thread": "#9a3417",
        "brass": "#7d6400",
        "metal": "#4f5a5d",
        "tubing": "#2f647d",
        "faint": "#6a6152",
        "strong": "#000000",
        "footer-key-foreground": "#7a5412",
    },
)

THEMES = (BENCH, PAPER)

ROLES = {
    "cane": "$cane",
    "heart": "$cane-dark",
    "tip": "$strong",
    "thread": "$thread",
    "wire": "$brass bold",
    "tube": "$metal",
    "cork": "$cane-dark",
    "ghost": "$faint",
    "tubing": "$tubing",
    "target": "$accent",
    "axis": "$faint",
    "faint": "$faint",
    "strong": "$strong bold",
    "good": "$success",
    "warn": "$warning bold",
    "error": "$error bold",
    "group0": "$cane",
    "group1": "$accent",
    "group2": "$thread",
    "group3": "$tubing",
    "group4": "$metal",
}
"""What the roles of drawings and texts look like; a role that is not named here has the colour of the text."""
