"""Posts, each from its own floor level to the underside of its beam."""

from collections.abc import Iterable
from dataclasses import replace

from jobs.domain.layout import Layout
from jobs.domain.layout.model import Post
from jobs.domain.sections import Section, Sections
from jobs.domain.spans import spans
from jobs.domain.takeoff.model import Piece, SetOut
from jobs.domain.takeoff.parts import (
    Part,
    metres,
    millimetres,
    pieces_of,
    quantity,
    sum_by_length,
    times,
)


def posts(layout: Layout, sections: Sections) -> Part:
    """Each post from its own floor level to the underside of its beam."""
    section = sections[layout.dimensions.post_section]
    lengths = [post.cut_length_m for post in layout.posts]
    longest = max(layout.posts, key=lambda post: post.cut_length_m)
    top = max(post.top_z_m for post in layout.posts) - layout.low_floor_z_m
    return Part(
        quantities=(
            quantity("post_count", len(lengths), _posts_how(layout)),
            quantity("post_length_max", longest.cut_length_m, _post_how(longest)),
            quantity("post_total_length", sum(lengths), sum_by_length(lengths)),
        ),
        pieces=_post_pieces(layout.posts, section, top),
        set_out=tuple(_post_set_out(layout.posts, on_deck=layout.deck is not None)),
    )


def _posts_how(layout: Layout) -> str:
    dims = layout.dimensions
    return (
        f"{times(len(layout.posts), 'post')}: one at each beam end that the house does "
        f"not carry, and between them at most {metres(dims.post_spacing_max_m)} apart."
    )


def _post_how(post: Post) -> str:
    says = (
        f"Post {post.label}: underside of beam {millimetres(post.top_z_m)}, its floor "
        f"{millimetres(post.floor_z_m)}, difference {millimetres(post.standing_m)}"
    )
    if post.in_footing_m:
        says += f", and {millimetres(post.in_footing_m)} set in the footing"
    return f"{says}."


def _post_set_out(all_posts: tuple[Post, ...], *, on_deck: bool) -> Iterable[SetOut]:
    for post in all_posts:
        yield SetOut(
            f"post_cut_length_{post.label}",
            f"Cut length, post {post.label}",
            post.cut_length_m,
            "m",
            _post_how(post),
        )
    for post in all_posts:
        yield SetOut(
            f"prop_height_{post.label}",
            f"Prop height at post {post.label}",
            post.top_z_m if on_deck else post.standing_m,
            "m",
            f"{'Deck' if on_deck else 'Floor'} at post {post.label} up to the underside "
            "of the beam.",
        )


def _post_pieces(
    all_posts: tuple[Post, ...], section: Section, top_m: float
) -> tuple[Piece, ...]:
    """Posts of one length on one line, named by their numbers in the drawing."""
    lines = pieces_of("post", section, (p.cut_length_m for p in all_posts), top_m)
    return tuple(replace(line, name=_named(line, all_posts)) for line in lines)


def _named(line: Piece, all_posts: tuple[Post, ...]) -> str:
    labels = [p.label for p in all_posts if round(p.cut_length_m, 3) == line.length_m]
    if len(labels) == 1:
        return f"Post {labels[0]}"
    return f"Posts {spans(int(label) for label in labels)}"
