from cockpit.widgets.dots import Dots, checkered, solid, sparse

SQUARE = Dots({0: 0b1111, 1: 0b1111, 2: 0b1111, 3: 0b1111})
CORNER = Dots({0: 0b0011, 1: 0b0011})


def test_shapes_are_joined_and_cut_as_sets_are() -> None:
    square, corner = set(SQUARE), set(CORNER)
    assert len(square) == 16
    assert set(SQUARE & CORNER) == square & corner
    assert set(SQUARE - CORNER) == square - corner
    assert set(CORNER | Dots({9: 1})) == corner | {(0, 9)}
    assert not CORNER - SQUARE


def test_edges_are_the_dots_at_the_ends_of_every_stretch() -> None:
    assert set(Dots({5: 0b1110111}).edges()) == {(0, 5), (2, 5), (4, 5), (6, 5)}


def test_what_is_level_with_another_shape_is_kept_whole() -> None:
    assert set(SQUARE.level_with(CORNER)) == {
        (column, row) for column in range(4) for row in (0, 1)
    }


def test_textures_set_one_dot_in_two_and_one_in_four() -> None:
    assert set(SQUARE.textured(solid)) == set(SQUARE)
    assert set(SQUARE.textured(checkered)) == {(x, y) for x, y in SQUARE if (x + y) % 2 == 0}
    assert set(SQUARE.textured(sparse)) == {(0, 0), (2, 0), (1, 2), (3, 2)}
