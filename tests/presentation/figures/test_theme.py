"""Tests of presentation.figures.theme: published, laws, edges, errors."""

import numpy as np
import pytest
from presentation.figures import seeing
from published.printed import printed

from corrosion.presentation.figures import theme

CATEGORIES = [*theme.CAUSES.values(), theme.SPARE]


@pytest.mark.published(
    source="Web Content Accessibility Guidelines",
    where="#767676 is the lightest grey that passes AA on white",
    status="from memory",
)
def test_contrast_of_the_well_known_grey() -> None:
    assert theme.contrast("#767676", "#ffffff") == printed("4.54")
    assert theme.contrast("#777777", "#ffffff") == printed("4.48")


@pytest.mark.parametrize("vision", ["full", "protan", "deutan", "tritan"])
def test_visions_leave_white_white(vision: str) -> None:
    # Each row of a published matrix adds to one: a slip of memory shows here.
    assert seeing.VISION[vision].sum(axis=1) == pytest.approx(1.0, abs=1e-5)
    assert seeing.lab("#ffffff", vision) == pytest.approx([100.0, 0.0, 0.0], abs=0.01)


def test_sequential_scale_darkens_in_even_steps() -> None:
    steps = np.diff(seeing.lightness(list(theme.SEQUENTIAL)))
    assert (steps < 0.0).all()
    assert np.ptp(steps) < 0.5


@pytest.mark.parametrize("vision", ["full", "protan", "deutan", "tritan"])
def test_sequential_scale_is_even_for_every_eye(vision: str) -> None:
    seen = np.array([seeing.lab(colour, vision) for colour in theme.SEQUENTIAL])
    apart = np.linalg.norm(np.diff(seen, axis=0), axis=1)
    assert (np.diff(seen[:, 0]) < 0.0).all()
    assert apart.max() < 2.0 * apart.min()


def test_diverging_scale_is_lightest_in_the_middle_and_symmetric_in_grey() -> None:
    grey = seeing.lightness(list(theme.DIVERGING))
    assert grey.argmax() == 4
    assert grey == pytest.approx(grey[::-1], abs=0.5)
    assert np.ptp(np.abs(np.diff(grey))) < 0.5


@pytest.mark.parametrize("vision", ["full", "protan", "deutan", "tritan"])
def test_ends_of_the_diverging_scale_are_told_apart(vision: str) -> None:
    pairs = zip(theme.DIVERGING[:3], theme.DIVERGING[:5:-1], strict=True)
    assert min(seeing.nearest(list(pair), vision) for pair in pairs) > 20.0


@pytest.mark.parametrize("vision", ["full", "protan", "deutan", "tritan"])
def test_categories_are_told_apart_by_every_eye(vision: str) -> None:
    assert seeing.nearest(CATEGORIES, vision) > 30.0


def test_categories_are_told_apart_in_grey() -> None:
    assert np.diff(np.sort(seeing.lightness(CATEGORIES))).min() > 10.0


@pytest.mark.parametrize("mode", ["light", "dark"])
def test_text_and_marks_stand_out_from_the_page(mode: theme.Mode) -> None:
    ground = theme.GROUND[mode]
    assert theme.contrast(theme.INK[mode], ground) >= 7.0
    assert theme.contrast(theme.MUTED[mode], ground) >= 4.5
    for mark in (theme.MARK, theme.ACCENT, theme.LINE):
        assert theme.contrast(mark, ground) >= 3.0


@pytest.mark.parametrize("share", np.linspace(0.0, 1.0, 33))
def test_words_on_a_filled_zone_can_be_read(share: float) -> None:
    fill = theme.at_share(theme.SEQUENTIAL, float(share))
    assert theme.contrast(theme.ink_on(fill), fill) >= 4.5


def test_scale_ends_are_its_own_colours() -> None:
    assert theme.at_share(theme.SEQUENTIAL, 0.0) == theme.SEQUENTIAL[0]
    assert theme.at_share(theme.SEQUENTIAL, 1.0) == theme.SEQUENTIAL[-1]
    assert theme.at_share(theme.SEQUENTIAL, 7.0) == theme.SEQUENTIAL[-1]


def test_dressing_changes_ink_and_leaves_the_figure_given_alone() -> None:
    figure = theme.new_figure(300, "An empty figure.")
    dark = theme.apply(figure, "dark")
    assert theme.describe(dark) == "An empty figure."
    assert dark.layout.template.layout.font.color == theme.INK["dark"]
    assert figure.layout.template.layout.font.color == theme.INK["light"]
