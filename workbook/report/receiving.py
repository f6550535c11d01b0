"""The sheet's parts from the verticals to the receiver: runs, feed, margin, chokes, own transmitters, reels."""

from collections.abc import Iterator
from typing import NamedTuple

from workbook.plan.plan import Plan
from workbook.tables import receive, reels
from workbook.tables.receiver_match import match_sentence
from workbook.tables.table import Table


class Part(NamedTuple):
    """A heading, which may be empty, with its tables and sentences."""

    heading: str
    tables: tuple[Table, ...]
    sentences: tuple[str, ...]


def main_parts(plan: Plan) -> tuple[Part, ...]:
    """Return what stands in the first part of the build sheet, where the design says what it needs."""
    return tuple(_main(plan))


def _main(plan: Plan) -> Iterator[Part]:
    if plan.reels:
        tables = (reels.reel_table(plan.reels, plan.units),) * _cut(plan)
        yield Part("Reels", tables, reels.cutting_sentences(plan.reels, plan.units))
    said: tuple[str, ...] = (receive.feed_sentence(plan.feed),) if plan.feed else ()
    if plan.reception:
        said += (receive.margin_sentence(plan.reception), receive.choke_sentence(plan.reception))
        said += receive.transmitter_sentences(plan.reception.transmitters)[:1]
    if plan.match:
        said += (match_sentence(plan.match),)
    if said:
        yield Part("", (), (" ".join(filter(None, said)),))


def appendix_parts(plan: Plan) -> tuple[Part, ...]:
    """Return what the appendix says of it."""
    return tuple(_appendix(plan))


def _appendix(plan: Plan) -> Iterator[Part]:
    found = plan.reception
    if found:
        signals = receive.signal_table(found)
        tables = (
            receive.reception_table(found),
            *map(receive.contribution_table, found.bands),
            *((receive.choke_table(found),) if found.choke_tolerance else ()),
            *((receive.transmitter_table(found.transmitters),) if found.transmitters else ()),
            *((signals,) if signals else ()),
        )
        yield Part("From the verticals to the receiver", tables, receive.transmitter_sentences(found.transmitters))
    if plan.feed:
        yield Part("Feed", (receive.feed_table(plan.feed, plan.units),), ())
    if _cut(plan):
        yield Part("Cuts from the reels, in order", (reels.cutting_table(plan.reels, plan.units),), ())


def _cut(plan: Plan) -> bool:
    return any(one.reels for one in plan.reels)
