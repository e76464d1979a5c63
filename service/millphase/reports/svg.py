"""A few helpers to write SVG by hand: escaped text, numbers without noise, an accessible frame."""

from __future__ import annotations

from html import escape


def num(value: float) -> str:
    """A coordinate with two decimals and no trailing zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"


def element(name: str, content: str = "", /, **attributes: str | float) -> str:
    """One element; underscores in attribute names become hyphens, `content` is markup."""
    given = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(value if isinstance(value, str) else num(value))}"'
        for key, value in attributes.items()
    )
    return f"<{name}{given}>{content}</{name}>" if content else f"<{name}{given}/>"


def text(x: float, y: float, words: str, **attributes: str | float) -> str:
    """A piece of text at x, y."""
    return element("text", escape(words), x=x, y=y, **attributes)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float) -> str:
    """A straight line."""
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, **attributes)


def document(width: float, height: float, title: str, description: str, body: str) -> str:
    """A whole drawing that scales, prints in black on white and reads out its title and description."""
    head = element("title", escape(title), id="title") + element("desc", escape(description), id="desc")
    paper = element("rect", width=width, height=height, fill="white")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(width)} {num(height)}" width="{num(width)}" '
        f'height="{num(height)}" role="img" aria-labelledby="title desc" font-family="sans-serif" font-size="13" fill="black">'
        f"{head}{paper}{body}</svg>\n"
    )
