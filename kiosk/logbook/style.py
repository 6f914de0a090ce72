"""How the logbook's pages look, on a screen and on paper of any size (tried on A4 and Letter)."""

# No paper size is named, so the printer's own holds. Heads are repeated, no line is broken across pages, and
# pages are numbered where the browser can (CSS Paged Media Level 3, margin boxes and page counters).
_STYLE = """
body { font: 12pt/1.35 sans-serif; color: #000; background: #fff; margin: 2em auto; max-width: 64em;
  padding: 0 1em; }
h1, h2, h3, caption { break-after: avoid; }
p, li, dd { overflow-wrap: anywhere; white-space: pre-line; }
table { border-collapse: collapse; width: 100%; margin: .6em 0; }
caption { text-align: left; font-weight: bold; padding: .2em 0; }
th, td { border: 1px solid #777; padding: .2em .4em; text-align: left; vertical-align: top;
  overflow-wrap: anywhere; white-space: pre-line; }
th { background: #eee; }
thead { display: table-header-group; }
tr, li, dt, .sign { break-inside: avoid; }
tr.day th { break-after: avoid; }
td ul { margin: 0; padding-left: 1.1em; }
th { overflow-wrap: normal; }
td.tight { white-space: nowrap; }
table.fixed { table-layout: fixed; }
col.number { width: 4em; } col.when { width: 7em; } col.who { width: 7.5em; } col.found { width: 37%; }
col.minutes { width: 4em; }
dt { font-weight: bold; } dd { margin: 0 0 .4em 1.5em; }
.notice { border: 3px solid #000; padding: .5em .8em; font-weight: bold; }
.small { font-size: 85%; }
.sign { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2em; margin-top: 1.5em; }
.sign p { border-bottom: 1px solid #000; padding-top: 1.6em; margin: 0; }
@page { margin: 16mm 14mm 18mm 14mm;
  @bottom-left { content: FOOT; font: 8pt sans-serif; }
  @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 8pt sans-serif; } }
@media print {
  body { margin: 0; padding: 0 1px; max-width: none; font-size: 9pt; }
  section { break-before: page; } section.cover { break-before: auto; }
  nav { display: none; } a { color: inherit; text-decoration: none; }
  th { print-color-adjust: exact; }
}
"""


def style(foot: str) -> str:
    """The stylesheet, with a text at the foot of each printed page."""
    return _STYLE.replace("FOOT", _css_string(foot))


def _css_string(text: str) -> str:
    """A text as a CSS string that can end neither the string nor the style element (CSS Syntax 3, 4.3.7)."""
    plain = "".join(
        one if one.isascii() and (one.isalnum() or one == " ") else f"\\{ord(one):x} " for one in text
    )
    return f'"{plain}"'
