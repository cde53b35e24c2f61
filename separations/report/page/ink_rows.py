"""The operator's table, and the buyer's: one row an ink."""

from __future__ import annotations

from separations.report.page.html_parts import chip, table
from separations.report.page.shown_figures import ShownFigures


def operator_table(shown: ShownFigures) -> str:
    """What to hang, in which order, with which halftone, and how much ink to have ready."""
    films = {shown.at(f"/films/{i}/ink"): f"/films/{i}" for i in range(shown.count("/films"))}
    needs = {shown.at(f"/ink_estimates/{i}/ink"): f"/ink_estimates/{i}"
             for i in range(shown.count("/ink_estimates"))}
    rows = [_operator_row(shown, f"/inks/{i}", films.get(shown.at(f"/inks/{i}/name")),
                          needs.get(shown.at(f"/inks/{i}/name")))
            for i in range(shown.count("/inks"))]
    read_back = (" Each film was opened again with other software and compared, bit for bit, "
                 "with the dots that it should have." if films else "")
    return (f"<p>{shown.text('/film/resolution_written')}, full size. "
            f"{shown.text('/film/how_to_lay')}{read_back}</p>"
            + table("Inks in print order",
                    ("Order and ink", "Mesh", "Ruling", "#Angle", "Dots", "#Tone range", "Film",
                     "#Ink for the run"), rows))


def _operator_row(shown: ShownFigures, ink: str, film: str | None,
                  need: str | None) -> tuple[str, ...]:
    mesh = f"{ink}/mesh"
    cloth = (f"{shown.text(f'{mesh}/count_written')}, {shown.text(f'{mesh}/thread_written')} thread"
             f"<br><small>at {shown.brief(f'{mesh}/angle_deg')}°, opening "
             f"{shown.number(f'{mesh}/opening_um')} µm, "
             f"{shown.number(f'{mesh}/ink_volume_cm3_per_m2', 1)} cm³/m²</small>")
    name = f"{shown.number(f'{ink}/print_order')}. {chip(shown.at(f'{ink}/solid_srgb'))}" \
           f"{shown.text(f'{ink}/name')}"
    paper = "not made" if film is None else (
        f"{shown.text(f'{film}/file')}<br><small>"
        f"{shown.number(f'{film}/image_pixels/0')} × {shown.number(f'{film}/image_pixels/1')} px; "
        f"page {shown.number(f'{film}/page_mm/0', 1)} × {shown.number(f'{film}/page_mm/1', 1)} mm; "
        f"mean tone {shown.per_cent(f'{film}/mean_tone')}</small>")
    grams = "–" if need is None else shown.span(f"{need}/run_g", "g")
    if not shown.at(f"{ink}/screened"):
        return (name, cloth, "line work, not screened", "–", "–", "–", paper, grams)
    if shown.at(f"{ink}/dot_shape") == "stochastic":
        return (name, cloth, shown.text(f"{ink}/halftone_told"), "–", "stochastic", "–", paper,
                grams)
    return (name, cloth, shown.text(f"{ink}/ruling_written"),
            f"{shown.brief(f'{ink}/angle_deg')}°", shown.text(f"{ink}/dot_shape"),
            f"{shown.per_cent(f'{ink}/smallest_tone')} to {shown.per_cent(f'{ink}/largest_tone')}",
            paper, grams)


def buyer_table(shown: ShownFigures) -> str:
    """Ink for one board and the run, its total, and the tins to buy."""
    many = shown.count("/ink_estimates")
    if not many:
        return ""
    rows, printed = [], shown.text("/job/printed")
    for i in range(many):
        at = f"/ink_estimates/{i}"
        rows.append((shown.text(f"{at}/ink"), f"{shown.number(f'{at}/inked_cm2')} cm²",
                     shown.span(f"{at}/board_ml", "ml"), shown.span(f"{at}/board_g", "g"),
                     shown.span(f"{at}/left_in_screen_ml", "ml"), shown.span(f"{at}/run_ml", "ml"),
                     shown.span(f"{at}/run_g", "g"), shown.number(f"{at}/tins")))
    total = "/ink_total"
    foot = ("All inks", "", shown.span(f"{total}/board_ml", "ml"),
            shown.span(f"{total}/board_g", "g"), shown.span(f"{total}/left_in_screen_ml", "ml"),
            shown.span(f"{total}/run_ml", "ml"), shown.span(f"{total}/run_g", "g"),
            shown.number(f"{total}/tins"))
    return ("<p>Likely figures, with low and high beneath. "
            f"The run of {shown.number('/job/boards')} includes losses and what stays in the "
            "screen and on the tools, which is most of a short run; "
            "buy by the high figure unless you have weighed your own. Counted from the films' own "
            "dots; the share of ink that leaves the mesh is a trade figure until you weigh yours. "
            f"Tins of {shown.number(f'{total}/tin_g')} g are reckoned by the high figure; that "
            "they come in this weight is common practice, no source.</p>"
            + table("Ink for the run", (
                "Ink", "#Inked area", f"#One {printed}, volume", f"#One {printed}, weight",
                "#Left in the screen", "#Whole run, volume", "#Whole run, weight", "#Tins"),
                rows, foot) + _orders(shown))


def _orders(shown: ShownFigures) -> str:
    """What must be ordered beyond the shelf, where the job names a stock list."""
    rows = []
    for i in range(shown.count("/ink_orders")):
        at = f"/ink_orders/{i}"
        is_listed = shown.at(f"{at}/stock_ink") is not None
        left = ("–" if not is_listed else "not given" if shown.at(f"{at}/on_shelf_g") is None
                else f"{shown.number(f'{at}/on_shelf_g')} g")
        order = ("see how much is left" if shown.at(f"{at}/order_g") is None
                 else f"{shown.number(f'{at}/order_g')} g" if shown.at(f"{at}/order_g")
                 else "nothing")
        words = "<br>".join(shown.text(f"{at}/words/{n}")
                            for n in range(shown.count(f"{at}/words")))
        rows.append((shown.text(f"{at}/ink"),
                     shown.text(f"{at}/stock_ink") if is_listed else "not on the list", left,
                     shown.span(f"{at}/run_g", "g"), order, words))
    if not rows:
        return ""
    return ("<h3>Ink to order</h3><p>By the stock list that the job names: what the run takes "
            "at most, less what is left.</p>"
            + table("Ink to order", ("Ink", "Name on the list", "#Left on the shelf",
                                      "#The run takes", "#To order", "Remarks"), rows))
