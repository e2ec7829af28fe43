"""Pictures: readable letters, units on the axes, a text form, and nothing shown or left open."""

import matplotlib.pyplot as plt
import numpy as np
import pytest
from PIL import Image

from evenstroke import pictures


@pytest.fixture(autouse=True)
def closed(monkeypatch):
    monkeypatch.setattr(plt, "show", lambda *a, **k: pytest.fail("a plot helper must not show"))
    yield
    plt.close("all")


def texts(figure):
    figure.canvas.draw()
    return [t for t in figure.findobj(plt.Text) if t.get_visible() and t.get_text().strip()]


def test_letters_are_12_points_or_more(run, low_run, answer):
    for figure in (run.plot()[0].figure, low_run.plot()[0].figure, answer.plot().figure):
        small = [t.get_text() for t in texts(figure) if t.get_fontsize() < 12]
        assert small == []


def test_axes_say_their_units(run, answer):
    labels = [ax.get_ylabel() for ax in run.plot()[0].figure.axes]
    units = ["[mm]", "[mL]", "[mL]", "[mL]", "[mL]", "[mm]"]  # four from top to bottom, then the two right scales
    assert len(labels) == 6 and all(unit in label for unit, label in zip(units, labels))
    assert "[%]" in answer.plot().get_ylabel()


def test_the_lines_are_the_tables_numbers(run):
    axes = run.plot()
    drawn = {line.get_label(): line.get_ydata() for ax in axes[0].figure.axes for line in ax.get_lines()}
    assert np.array_equal(drawn["whole mismatch"], run.strokes.worst_mm())
    assert np.array_equal(drawn["air vented (left scale)"], run.strokes["vented_ml"])
    assert np.array_equal(drawn["level (right scale)"], run.strokes["level_mm"])
    assert np.array_equal(drawn["dissolved (right scale)"], run.strokes["dissolved_ml"])
    free = sum(run.strokes[f"{form}_ml"] for form in ("pocket", "coarse", "fine"))
    stacked = sum(np.array([bar.get_height() for bar in bars]) for bars in axes[1].containers)
    np.testing.assert_allclose(stacked, free, atol=0.2)
    forms = {bars.get_label(): [bar.get_height() for bar in bars] for bars in axes[2].containers}
    for name, form in (("pockets and slugs", "pocket"), ("coarse bubbles", "coarse"), ("fine bubbles", "fine")):
        np.testing.assert_allclose(forms[name], run.strokes[f"{form}_ml"])
    low, high = axes[0].get_ylim()
    assert low < np.nanmin(run.strokes.worst_mm()) and high > run.tolerance_mm


def test_layers_differ_without_colour():
    """Neighbours in the stack differ in hatching, or in grey value by a fifth of the scale."""
    from matplotlib.colors import to_rgb

    def grey(colour):
        return np.dot(to_rgb(colour), (0.2126, 0.7152, 0.0722))

    forms = [(colour, hatch) for _, _, colour, hatch in pictures.FORMS]
    for stack in (pictures.FILLS, forms):
        for (a, hatch_a), (b, hatch_b) in zip(stack, stack[1:]):
            assert hatch_a != hatch_b or abs(grey(a) - grey(b)) > 0.2


def test_the_answers_curve_counts_members(answer):
    ax = answer.plot()
    for line in ax.get_lines():
        count = {"air's part": answer.bled, "whole mismatch": answer.parallel}.get(line.get_label().split(":")[0])
        if count is not None:
            for n, share in zip(line.get_xdata(), line.get_ydata()):
                assert share == pytest.approx(100 * np.mean(count.member <= n))


def test_alt_text_is_kept_and_written_into_the_file(run, answer, tmp_path):
    for thing, name, said in ((run, "run.png", f"{run.tolerance_mm:g} mm"), (answer, "answer.png", answer.bled.text)):
        axes = thing.plot()
        text = (axes if not isinstance(axes, tuple) else axes[0]).figure.alt_text
        assert said in text and len(text) > 80
        pictures.save(axes, tmp_path / name)
        with Image.open(tmp_path / name) as image:
            assert image.text["Description"] == text
    assert plt.get_fignums() == []


def test_given_axes_are_drawn_into_and_returned(run, answer):
    figure, axes = plt.subplots(4)
    assert tuple(run.plot(ax=axes)) == tuple(axes) and len(plt.get_fignums()) == 1
    _, one = plt.subplots()
    assert answer.plot(ax=one) is one
    with pytest.raises(ValueError, match="four axes"):
        run.plot(ax=axes[:3])
