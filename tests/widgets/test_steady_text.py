"""A text that is set again: the screen is laid out anew only where the text has outgrown its place."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.content import Content
from textual.screen import Screen

from reedkin.widgets.steady_text import SteadyText


class Page(App[None]):
    CSS = "#fixed { height: 2; } #grows { height: auto; }"

    def compose(self) -> ComposeResult:
        yield SteadyText(id="fixed")
        yield SteadyText(id="grows")


async def test_laid_out_anew_only_where_a_text_has_outgrown_its_place() -> None:
    laid_out: list[Screen[object]] = []
    async with Page().run_test(size=(20, 10)) as pilot:
        await pilot.pause()
        fixed, grows = pilot.app.query_one("#fixed", SteadyText), pilot.app.query_one("#grows", SteadyText)
        pilot.app.screen.screen_layout_refresh_signal.subscribe(pilot.app, laid_out.append)

        async def lays_out(text: SteadyText, said: Content) -> bool:
            laid_out.clear()
            text.update(said)
            for _ in range(3):  # another size is seen to in a further layout
                await pilot.pause()
            return bool(laid_out)

        assert not await lays_out(fixed, Content("one\ntwo\nthree"))
        assert str(fixed.render()) == "one\ntwo\nthree"
        assert await lays_out(grows, Content("one\ntwo"))
        assert grows.size.height == 2
        assert not await lays_out(grows, Content("two\none"))
        assert not await lays_out(grows, Content("a line that is too long for the place"))  # two lines, folded
        assert await lays_out(grows, Content("a"))
        assert grows.size.height == 1

        grows.update(Content("a"))
        assert not grows._repaint_required
        grows.update(Content.styled("a", "bold"))  # the same letters, otherwise painted
        assert grows._repaint_required
