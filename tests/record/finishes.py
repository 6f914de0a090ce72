"""The example shop with another finish: one of which the sheet says otherwise or nothing, or none at all."""

from typing import Any

from kiosk.bench import Bench
from kiosk.shop.finish import FINISH_FIGURES, Finish
from kiosk.shop.shop import Shop, put_together
from tests.record.moments import brambling

OWN = "hedge-grey"


def replace_finish(**fields: Any) -> Finish:
    """The example shop's finish with these fields of its sheet written otherwise; None leaves one out."""
    written = brambling().file.finishes[0].as_written() | fields
    return Finish.model_validate(
        {name: _as_written(name, value) for name, value in written.items() if value is not None}
    )


def bare_finish(**fields: Any) -> Finish:
    """A finish of which nothing but these fields was entered."""
    return Finish.model_validate({"id": OWN, "name": "a primer", **fields})


def shop_with(shop: Shop, finish: Finish | None) -> Shop:
    """The shop with this one finish for every kind that has one; with None it has no finishes at all."""
    kinds = tuple(
        kind.model_copy(update={"finish": OWN if finish is not None and kind.finish else None})
        for kind in shop.file.part_kinds
    )
    for kind in kinds:
        kind.gets(finish if kind.finish else None)
    file = shop.file.model_copy(update={"finishes": () if finish is None else (finish,), "part_kinds": kinds})
    figures = type(shop.figures)({kind.id: kind for kind in kinds}, shop.folder, shop.figures.known)
    return put_together(shop.folder, file, shop.procedures, figures)


def with_finish(bench: Bench, finish: Finish | None) -> None:
    """Have a bench's shop use this finish from now on."""
    bench.shop = shop_with(bench.shop, finish)


def _as_written(name: str, value: Any) -> Any:
    if isinstance(value, dict):
        return {within: one for within, one in value.items() if one is not None}
    if not isinstance(value, float):
        return value
    is_time = name in FINISH_FIGURES and FINISH_FIGURES[name].unit == "min"
    return f"{value:.8g} min" if is_time else f"{value:.8g}"
