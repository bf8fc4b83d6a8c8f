"""The looks of the program: the colours of cane, thread and brass on a dark bench or on paper, or the terminal's own.

On each ground every text has a contrast of 4.5 to 1 or more and every line 3 to 1 (WCAG 2.1, 1.4.3 and 1.4.11), which a
test computes.
"""

from __future__ import annotations

from textual.theme import Theme

BENCH = Theme(
    name="reedkin-bench",
    primary="#d8b46a",
    secondary="#df7556",
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
        "cane-dark": "#a67f42",
        "thread": "#df7556",
        "brass": "#e8cf6a",
        "metal": "#a9b3b5",
        "tubing": "#7fa6b8",
        "faint": "#a2988a",
        "strong": "#fff7e6",
        "footer-key-foreground": "#d8b46a",
        "red-thread": "#e05a50",
        "orange-thread": "#e0843c",
        "yellow-thread": "#e6cf4e",
        "green-thread": "#6fae5a",
        "teal-thread": "#3fb0a8",
        "blue-thread": "#6f9be8",
        "purple-thread": "#b088dd",
        "pink-thread": "#ea8fbc",
        "brown-thread": "#ad8260",
        "white-thread": "#f4f2ec",
        "grey-thread": "#a3a7a9",
        "black-thread": "#7c7872",
    },
)

PAPER = Theme(
    name="reedkin-paper",
    primary="#7a5412",
    secondary="#8a3a1c",
    accent="#2f6656",
    warning="#755200",
    error="#a8261b",
    success="#3f6420",
    foreground="#2a241c",
    background="#f6f1e6",
    surface="#efe8d8",
    panel="#e5dcc7",
    dark=False,
    variables={
        "cane": "#74530f",
        "cane-dark": "#6a4a14",
        "thread": "#9a3417",
        "brass": "#6d5700",
        "metal": "#4f5a5d",
        "tubing": "#2f647d",
        "faint": "#5f5748",
        "strong": "#000000",
        "footer-key-foreground": "#7a5412",
        "red-thread": "#b3241d",
        "orange-thread": "#a85310",
        "yellow-thread": "#857000",
        "green-thread": "#3c7028",
        "teal-thread": "#0f726b",
        "blue-thread": "#2c57b0",
        "purple-thread": "#7040a8",
        "pink-thread": "#b03b78",
        "brown-thread": "#704a2a",
        "white-thread": "#7d786c",
        "grey-thread": "#686a6b",
        "black-thread": "#1c1a17",
    },
)

TERMINAL = Theme(
    name="reedkin-terminal",
    primary="ansi_yellow",
    secondary="ansi_red",
    accent="ansi_cyan",
    warning="ansi_yellow",
    error="ansi_red",
    success="ansi_green",
    foreground="ansi_default",
    background="ansi_default",
    surface="ansi_default",
    panel="ansi_default",
    variables={
        "cane": "ansi_yellow",
        "cane-dark": "ansi_yellow",
        "thread": "ansi_red",
        "brass": "ansi_yellow",
        "metal": "ansi_default",
        "tubing": "ansi_blue",
        "faint": "ansi_default",
        "strong": "ansi_default",
        "footer-key-foreground": "ansi_default",
        "red-thread": "ansi_red",
        "orange-thread": "ansi_yellow",
        "yellow-thread": "ansi_yellow",
        "green-thread": "ansi_green",
        "teal-thread": "ansi_cyan",
        "blue-thread": "ansi_blue",
        "purple-thread": "ansi_magenta",
        "pink-thread": "ansi_magenta",
        "brown-thread": "ansi_yellow",
        "white-thread": "ansi_default",
        "grey-thread": "ansi_default",
        "black-thread": "ansi_default",
    },
)
"""The terminal's own sixteen colours, whatever they are, and no grounds of ours."""

LOOKS = {"dark": BENCH, "paper": PAPER, "terminal": TERMINAL}
"""The looks by the words of the setting."""
THEMES = tuple(LOOKS.values())

THREADS = ("red", "orange", "yellow", "green", "teal", "blue", "purple", "pink", "brown", "white", "grey", "black")
"""The colours of thread that a winding is drawn in; each is a variable of the theme, light or dark enough to be seen on
its grounds, so that white on paper and black on the bench are greys."""

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
    **{f"{name}-thread": f"${name}-thread" for name in THREADS},
    "group0": "$cane",
    "group1": "$accent",
    "group2": "$thread",
    "group3": "$tubing",
    "group4": "$metal",
}
"""What the roles of drawings and texts look like; a role that is not named here has the colour of the text."""

WITHOUT_TINTS = """
#top:ansi { text-style: reverse; }
KeyBar:ansi { text-style: reverse; }
#right:ansi { border-top: solid ansi_default; }
BenchScreen #hand:ansi { height: 8; }
BenchScreen.-tall #hand:ansi { height: 12; }
#why:ansi { border-top: solid ansi_default; height: 4; }
#told:ansi { border-top: solid ansi_default; max-height: 9; }
#drawing:ansi { border-top: solid ansi_default; }
Input:ansi > .input--cursor { text-style: reverse; background: ansi_default; color: ansi_default; }
"""
"""Styles for where no ground tells the parts of a screen apart: a rule or a bar does, and the place where one types is
reversed."""
